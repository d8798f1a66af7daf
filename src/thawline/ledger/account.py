"""Draw up the ledger of a recording."""

from __future__ import annotations

import numpy as np

from thawline.ledger.base_load import base_load
from thawline.ledger.basis import Basis, basis_of
from thawline.ledger.bridging import DOUBTED, STOOD_STILL
from thawline.ledger.electrical import electrical_account
from thawline.ledger.entry import Entry
from thawline.ledger.feed import feed
from thawline.ledger.heat import heat_account
from thawline.ledger.ledger import ELECTRICAL, HEAT, Ledger
from thawline.ledger.supply_side import efficiency_of
from thawline.ledger.uncertain import nominal
from thawline.quantities.written import signed
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story.story import Story


def spoken(line: str) -> str:
    """Write a line's name without its hyphens.

    Parameters
    ----------
    line : str
        One of the account's lines.

    Returns
    -------
    str
        For instance ``pack to ambient``.
    """
    return line.replace("-", " ")


def _notes(basis: Basis, entries: list[Entry], covered_s: float) -> tuple[str, ...]:
    said = []
    silent = basis.recording.duration_s - covered_s
    if silent > 0.0:
        said.append(
            f"For {silent:.0f} s nothing was recorded; powers are carried across by a straight "
            "line between both sides, and the lines are less certain for it."
        )
    if np.any(basis.known_of == DOUBTED):
        said.append(
            "Through a time without data charge or temperature of the pack did not go on as before "
            "and after: something changed unseen, and the lines are much less certain for it."
        )
    if np.any(basis.known_of == STOOD_STILL):
        said.append(
            "Through a time without data charge and temperature of the pack stood still: all "
            "was off, or the logger's clock jumped ahead. No energy is counted for it."
        )
    filled = [
        f"{spoken(entry.line)} ({signed(entry.bridged_kWh, 2)} kWh)"
        for entry in entries
        if abs(entry.bridged_kWh) >= 0.005 and entry.line != "unaccounted"
    ]
    if filled:
        said.append(f"Times without data were bridged in: {', '.join(filled)}.")
    assumed = [spoken(entry.line) for entry in entries if entry.origin == "assumed"]
    if assumed:
        said.append("Assumed, not measured: " + ", ".join(dict.fromkeys(assumed)) + ".")
    lacking = [spoken(e.line) for e in entries if e.kWh is None and e.line != "unaccounted"]
    if lacking:
        said.append(f"Cannot be told: {', '.join(dict.fromkeys(lacking))}.")
    used = {path for power in basis.powers.values() for path in power.signals}
    default = sorted(used & basis.sensors.by_default)
    if default:
        said.append(
            f"The vehicle file states no accuracy for {len(default)} of {len(used)} sensors of "
            "power; what is usual for their kind was taken."
        )
    return tuple(said)


def account(recording: Recording, flows: Flows, story: Story) -> Ledger:
    """Draw up the electrical and the heat account of a recording.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers on one clock.
    story : Story
        Its story.

    Returns
    -------
    Ledger
        Both accounts with uncertainties, who fed whom, and what limits them.
    """
    basis = basis_of(recording, flows, story)
    electrical = electrical_account(basis)
    heat = heat_account(basis, electrical["drive-unit-heating"])
    share = efficiency_of(electrical["supply"], electrical["charger-loss"])
    base_kW = 0.0
    if "low-voltage" not in basis.powers:
        base_kW = nominal(base_load(basis)[0]) / max(basis.hours, 1e-9)
    silent = sum(gap.to_s - gap.from_s for gap in recording.gaps)
    covered_s = float(np.clip(recording.duration_s - silent, 0.0, recording.duration_s))
    return Ledger(
        electrical=tuple(electrical[line].as_line() for line in ELECTRICAL),
        heat=tuple(heat[line].as_line() for line in HEAT),
        feed=feed(basis, None if share is None else float(np.clip(nominal(share), 0, 1)), base_kW),
        covered_s=covered_s,
        notes=_notes(basis, [*electrical.values(), *list(heat.values())[1:]], covered_s),
    )
