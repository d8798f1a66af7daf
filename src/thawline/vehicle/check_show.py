"""Show a check as text or as plain data."""

from __future__ import annotations

from itertools import groupby
from textwrap import fill
from typing import Any

from thawline.vehicle.check import Capability, Check
from thawline.vehicle.reach import CAN, CANNOT, ROUGHLY

#: What groups are called, in the order of the table.
GROUPS = {
    "turning-point": "Turning points",
    "lane": "Lanes",
    "electrical": "Electrical account",
    "heat": "Heat account",
    "charge": "Charge shown and charge added",
    "why-not": "Why not more",
    "forecast": "Looking ahead",
}
#: What verdicts are called.
WORDS = {CAN: "yes", ROUGHLY: "roughly", CANNOT: "no"}
#: Width of the text [1].
WIDTH = 96


def _wrapped(text: str, indent: int, hanging: int) -> str:
    """Break a text into lines; a path is never broken."""
    return fill(
        text,
        WIDTH,
        initial_indent=" " * indent,
        subsequent_indent=" " * hanging,
        break_long_words=False,
        break_on_hyphens=False,
    )


def _ended(text: str) -> str:
    return text if text.endswith(".") else f"{text}."


def _told(members: list[Capability]) -> list[str]:
    """Write the things of one group, those of one verdict and reason together."""
    reasons: dict[tuple[str, str], list[str]] = {}
    for each in sorted(members, key=lambda each: list(WORDS).index(each.verdict)):
        reasons.setdefault((each.verdict, each.because), []).append(each.name)
    return [
        _wrapped(
            f"{WORDS[verdict]:<8}{', '.join(names)}" + (f": {_ended(because)}" if because else ""),
            2,
            12,
        )
        for (verdict, because), names in reasons.items()
    ]


def _to_add(result: Check) -> list[str]:
    """Write what to add, and what each addition would give."""
    gains: dict[str, dict[str, list[str]]] = {}
    for verdict in (CANNOT, ROUGHLY):
        for each in result.capabilities:
            if each.verdict == verdict and each.cure:
                cure = each.cure.removesuffix(", for instance")
                name = f"{each.name} ({GROUPS[each.group].lower()})"
                gains.setdefault(cure, {}).setdefault(verdict, []).append(name)
    lines = []
    for cure, verdicts in gains.items():
        lines.append(_wrapped(f"- {cure}", 2, 4))
        words = {CANNOT: "gives", ROUGHLY: "betters"}
        lines += [_wrapped(f"{words[v]} {', '.join(names)}", 6, 8) for v, names in verdicts.items()]
    return lines


def check_text(result: Check) -> str:
    """Write a check for a person.

    Parameters
    ----------
    result : Check
        The check.

    Returns
    -------
    str
        Several lines of plain text.
    """
    counts = {v: sum(each.verdict == v for each in result.capabilities) for v in WORDS}
    lines = [
        f"{result.vehicle} ({result.file}): of {len(result.capabilities)} things, "
        f"{counts[CAN]} can be told, {counts[ROUGHLY]} roughly, {counts[CANNOT]} not."
    ]
    if result.findings:
        lines += ["", "To look at"]
        lines += [_wrapped(f"- {finding}", 2, 4) for finding in result.findings]
    for group, members in groupby(result.capabilities, key=lambda each: each.group):
        lines += ["", GROUPS[group], *_told(list(members))]
    additions = _to_add(result)
    if additions:
        lines += ["", "To add to the vehicle file, for instance", *additions]
    return "\n".join(lines)


def _plain(each: Capability) -> dict[str, str]:
    plain = {
        "group": each.group,
        "name": each.name,
        "how": each.how,
        "because": each.because,
        "cure": each.cure,
    }
    return {key: value for key, value in plain.items() if value}


def check_json(result: Check) -> dict[str, Any]:
    """Write a check for a program.

    Parameters
    ----------
    result : Check
        The check.

    Returns
    -------
    dict
        ``vehicle``, ``file``, ``can``, ``can_roughly`` and ``cannot`` (lists of ``group``,
        ``name``, ``how``, ``because``, ``cure``), and ``findings`` (``kind``, ``line``,
        ``what``, ``cure``).
    """
    by_verdict = {
        verdict: [_plain(each) for each in result.capabilities if each.verdict == verdict]
        for verdict in WORDS
    }
    return {
        "vehicle": result.vehicle,
        "file": result.file,
        **by_verdict,
        "findings": [
            {"kind": f.kind, "line": f.line, "what": f.what, "cure": f.cure}
            for f in result.findings
        ],
    }
