"""Write a suggestion as a vehicle file for a person to edit."""

from __future__ import annotations

import json
import textwrap
from collections.abc import Iterator, Sequence

from thawline.suggest.suggestion import LeftOut, Proposal, Suggestion

#: Energy that stands in the file where none was found, so that it can be read [kWh].
STAND_IN_KWH = 60.0
#: Signals that were left out are listed up to this many [1].
MOST_LEFT_OUT = 80
#: Comments are broken at this width [1].
WIDTH = 96
HEAD = """\
# Proposed from a log: from what names say, and from what the data show by themselves.
# Read every entry before you rely on it. The number above each is how sure it is. On made
# cars without names, 97 of 100 were right at 0.95 and above, 96 at 0.85 to 0.95, 84 below;
# where the database stated no units either, 94, 92 and 83.
# What is less sure was left out; the end of this file lists it.
# Words such as First and Second stand for drive units, heaters and ports that nothing tells
# apart by name: put your own words there.
"""


def vehicle_toml(suggestion: Suggestion, name: str) -> str:
    """Write a suggestion as the text of a vehicle file.

    Parameters
    ----------
    suggestion : Suggestion
        The suggestion.
    name : str
        The vehicle's name.

    Returns
    -------
    str
        TOML that ``read_vehicle_text`` reads; each proposal has its confidence, reasons and
        evidence as comments.
    """
    parts = [
        HEAD,
        "[vehicle]",
        f"name = {_quoted(name)}",
        "",
        *_pack(suggestion),
        *_drive_units(suggestion),
    ]
    for proposal in suggestion.proposals:
        parts += ["", *_signal(proposal)]
    parts += ["", *_left_out(suggestion.left_out)]
    return "\n".join(parts).rstrip() + "\n"


def _quoted(text: str) -> str:
    """Write a TOML basic string; its escapes are those of JSON."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")


def _comment(text: str) -> Iterator[str]:
    clean = " ".join("".join(c if c.isprintable() else " " for c in text).split())
    yield from textwrap.wrap(
        clean, WIDTH, initial_indent="# ", subsequent_indent="#   ", break_long_words=False
    )


def _pack(suggestion: Suggestion) -> Iterator[str]:
    yield "[pack]"
    energy = suggestion.usable_energy_kWh
    if energy is None:
        yield from _comment(
            "NOT FOUND: the log does not charge or discharge enough to tell the energy between "
            "empty and full. Write the right one here."
        )
        yield f"usable_energy_kWh = {STAND_IN_KWH:.1f}"
    else:
        give = suggestion.usable_energy_plus_minus_kWh
        yield from _comment(
            f"counted: {energy:.1f} ± {give:.1f} kWh move the physical state of charge by 100 %"
        )
        yield f"usable_energy_kWh = {energy:.1f}"
    if suggestion.cells_in_series is not None:
        yield from _comment("pack voltage over cell voltage")
        yield f"cells_in_series = {suggestion.cells_in_series}"


def _drive_units(suggestion: Suggestion) -> Iterator[str]:
    if suggestion.drive_units is not None:
        yield ""
        yield "[drive_units]"
        yield from _comment("as many as were seen to heat")
        yield f"count = {suggestion.drive_units}"


def _signal(proposal: Proposal) -> Iterator[str]:
    yield from _comment(f"{proposal.confidence:.2f}: {proposal.meaning or proposal.path}")
    for because in proposal.because:
        yield from _comment(f"because {because}")
    for evidence in proposal.evidence:
        yield from _comment(f"seen: {evidence}")
    yield f"[signals.{_quoted(proposal.path)}]"
    yield f"from = {_quoted(proposal.from_)}"
    if proposal.unit:
        yield f"unit = {_quoted(proposal.unit)}"
    if proposal.sign < 0:
        yield "sign = -1"
    if proposal.true_when:
        yield f"true_when = [{', '.join(f'{code:g}' for code in proposal.true_when)}]"


def _left_out(left_out: Sequence[LeftOut]) -> Iterator[str]:
    if not left_out:
        return
    yield "# Left out:"
    # what comes near a path first: that is where a look pays
    ranked = sorted(left_out, key=lambda one: not one.nearest)
    for one in ranked[:MOST_LEFT_OUT]:
        yield from _comment(f"  {one.from_}: {one.why}")
    if len(left_out) > MOST_LEFT_OUT:
        yield f"#   and {len(left_out) - MOST_LEFT_OUT} more"
