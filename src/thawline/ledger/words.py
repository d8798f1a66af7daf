"""The ledger in sentences and as a table, for people."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.ledger.closing import BOUND_SIGMAS
from thawline.ledger.ledger import Feed, Ledger, Line
from thawline.ledger.rounding import plus_minus, rounded
from thawline.story.figures import joined

#: Lines of the ledger in words.
NAMES = {
    "supply": "supply",
    "charger-loss": "lost in the charger",
    "drive-unit-heating": "heating by the drive units",
    "cabin-heating": "cabin",
    "other-loads": "other loads",
    "pack-in": "into the pack",
    "pack-out": "out of the pack",
    "unaccounted": "unaccounted",
    "cell-resistance": "made in the cells",
    "coolant-into-pack": "carried into the pack by the coolant",
    "stored-in-pack": "kept in the pack",
    "pack-to-ambient": "lost from the pack to the air",
    "stored-elsewhere": "kept in drive units and coolant",
}
#: Who can be fed, in words.
FED = {
    "heat": "heating the pack",
    "cabin": "the cabin",
    "other": "other loads",
    "pack": "charging the pack",
    "loss": "the charger's losses",
}


def amount(line: Line) -> str:
    """Write a line's energy with its uncertainty.

    Parameters
    ----------
    line : Line
        The line.

    Returns
    -------
    str
        For instance ``1.93 ± 0.06 kWh``, or ``not known``.
    """
    if line.kWh is None or line.plus_minus_kWh is None:
        return "not known"
    return plus_minus(line.kWh, line.plus_minus_kWh)


def _by_name(lines: Sequence[Line]) -> dict[str, Line]:
    return {line.line: line for line in lines}


def _is_something(line: Line | None) -> bool:
    return line is not None and line.kWh is not None and abs(line.kWh) >= 0.005


def _sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}." if text else ""


def _sources(lines: dict[str, Line]) -> str:
    supply, given = lines.get("supply"), lines.get("pack-out")
    told = []
    if supply is not None and _is_something(supply):
        told.append(f"the supply gave {amount(supply)}")
    if given is not None and _is_something(given):
        told.append(f"the pack gave {amount(given)}")
    return _sentence(joined(told))


def _uses(lines: dict[str, Line]) -> str:
    verbs = {
        "drive-unit-heating": "heating by the drive units took",
        "cabin-heating": "the cabin",
        "other-loads": "other loads",
        "charger-loss": "the charger's losses",
        "pack-in": "the pack took in",
    }
    told = [
        f"{words} {amount(lines[name])}"
        for name, words in verbs.items()
        if _is_something(lines.get(name))
    ]
    return _sentence(joined(told))


def _left(lines: dict[str, Line], account: str) -> str:
    line = lines.get("unaccounted")
    if line is None or line.kWh is None or line.plus_minus_kWh is None:
        why = "" if line is None or not line.note else f", for {line.note}"
        return f"The {account} account cannot be closed{why}."
    bound = BOUND_SIGMAS * line.plus_minus_kWh
    number, _ = rounded(bound, line.plus_minus_kWh)
    within = "within" if abs(line.kWh) <= bound else "beyond"
    size = plus_minus(abs(line.kWh), line.plus_minus_kWh)
    what = "more went out than came in" if line.kWh < 0.0 else "more came in than went out"
    if within == "within":
        return (
            f"In the {account} account {amount(line)} are unaccounted, within the {number} kWh "
            "that the stated uncertainties explain."
        )
    return (
        f"The {account} account does not close: {size} {what}, beyond the {number} kWh that the "
        "stated uncertainties explain."
    )


def _energy(feed: Feed, powers: dict[str, np.ndarray]) -> dict[str, float]:
    step_s = float(feed.t[1] - feed.t[0]) if len(feed.t) > 1 else 1.0
    return {name: float(np.nansum(kW)) * step_s / 3600.0 for name, kW in powers.items()}


def _fed(feed: Feed) -> list[str]:
    said = []
    given = _energy(feed, feed.supply_to)
    whole = sum(given.values())
    if whole >= 0.01:
        parts = [
            f"{100.0 * kWh / whole:.0f} % to {FED.get(name, name)}"
            for name, kWh in sorted(given.items(), key=lambda pair: -pair[1])
            if kWh / whole >= 0.005
        ]
        said.append(f"Of what came from the supply went {joined(parts)}.")
    if feed.helping:
        minutes = sum(end - begin for begin, end in feed.helping) / 60.0
        times = f" in {len(feed.helping)} stretches" if len(feed.helping) > 1 else ""
        said.append(
            f"Although a supply was there, the pack had to help for {minutes:.1f} min{times}."
        )
    return said


def _heat(lines: dict[str, Line]) -> list[str]:
    said = []
    made = [
        f"{amount(lines[name])} {words}"
        for name, words in (
            ("drive-unit-heating", "in the drive units"),
            ("cell-resistance", "in the cells"),
        )
        if _is_something(lines.get(name))
    ]
    if made:
        said.append(f"Heat made for the pack: {joined(made)}.")
    kept = [
        f"{amount(lines[name])} {words}"
        for name, words in (
            ("stored-in-pack", "stayed in the pack"),
            ("stored-elsewhere", "stayed in drive units and coolant"),
            ("pack-to-ambient", "went from the pack to the air"),
        )
        if _is_something(lines.get(name))
    ]
    if kept:
        said.append(_sentence(f"of the heat, {joined(kept)}"))
    if _is_something(lines.get("coolant-into-pack")):
        said.append(f"The coolant carried {amount(lines['coolant-into-pack'])} into the pack.")
    return said


def sentences(ledger: Ledger) -> list[str]:
    """Tell where the energy went.

    Parameters
    ----------
    ledger : Ledger
        The ledger.

    Returns
    -------
    list of str
        A few sentences with their numbers and standard uncertainties.
    """
    electrical, heat = _by_name(ledger.electrical), _by_name(ledger.heat)
    said = [_sources(electrical), _uses(electrical), _left(electrical, "electrical")]
    if ledger.feed is not None:
        said += _fed(ledger.feed)
    said += [*_heat(heat), _left(heat, "heat")]
    return [sentence for sentence in said if sentence]


def table(ledger: Ledger) -> str:
    """Set both accounts as a text table.

    Parameters
    ----------
    ledger : Ledger
        The ledger.

    Returns
    -------
    str
        One line of text each: name, energy with standard uncertainty, origin.
    """
    rows = []
    for title, lines in (("Electrical", ledger.electrical), ("Heat", ledger.heat)):
        rows.append(title)
        rows += [f"  {line.line:<20}{amount(line):>22}  {line.origin}" for line in lines]
    return "\n".join(rows)
