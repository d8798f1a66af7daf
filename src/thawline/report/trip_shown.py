"""A first trip that begins cold against one that begins warmed: text and document."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np

from thawline.report.learned_tables import Table
from thawline.report.numbers import number
from thawline.trip.against import Against
from thawline.trip.begin import Begin
from thawline.trip.spread import Spread
from thawline.trip.trip import LINES, Trip

#: What each line of the account is called, and its colour in the palette.
PARTS = {
    "aero": ("air", "sky"),
    "rolling": ("tyres", "grey"),
    "gradient": ("height gained", "ink"),
    "motion": ("speed gained", "ink"),
    "drive-losses": ("drive losses", "purple"),
    "friction-brakes": ("friction brakes", "vermilion"),
    "cabin": ("cabin heating", "orange"),
    "auxiliaries": ("small loads", "green"),
    "cell-resistance": ("resistance of the cells", "blue"),
    "not-delivered": ("not delivered", "ink"),
}
#: Parts below this are not shown in the chart and the table [kWh].
LEAST_KWH = 0.005


@dataclass(frozen=True, slots=True)
class FirstTrip:
    """The first trip of a morning, leaving cold and leaving as the car is at an instant.

    Parameters
    ----------
    recording_id : str
        The recording.
    leave_s : float
        The instant, since the recording's start [s].
    cold, warmed : Trip
        Leaving as the car was at the recording's start, and as it is at the instant.
    costs : Against
        What leaving cold costs.
    price_per_kWh : float
        Price of energy; 0: none was given [currency/kWh].
    assumes : tuple of str
        What is taken for granted.
    """

    recording_id: str
    leave_s: float
    cold: Trip
    warmed: Trip
    costs: Against
    price_per_kWh: float
    assumes: tuple[str, ...]


def shown_lines(found: FirstTrip) -> list[str]:
    """Name the lines of the account that are large enough to be shown.

    Parameters
    ----------
    found : FirstTrip
        The two trips.

    Returns
    -------
    list of str
        Lines, in the account's order.
    """
    sides = (found.cold, found.warmed)
    return [line for line in LINES if any(abs(s.lines[line].mean) >= LEAST_KWH for s in sides)]


def _between(spread: Spread, decimals: int) -> str:
    return f"{number(spread.p10, decimals)} to {number(spread.p90, decimals)}"


def trip_sentence(found: FirstTrip) -> str:
    """Say in short what leaving cold costs.

    Parameters
    ----------
    found : FirstTrip
        The two trips.

    Returns
    -------
    str
        One sentence or two.
    """
    costs, km = found.costs, number(found.cold.km, 1)
    said = (
        f"On the first {km} km, leaving cold takes {number(costs.kWh.mean, 2)} kWh more than "
        f"leaving as the car was after {number(found.leave_s / 60.0, 0)} min "
        f"({_between(costs.kWh, 2)} in eight of ten cases): as much as "
        f"{number(costs.km_of_range.mean, 1)} km of such road."
    )
    if found.price_per_kWh:
        said += f" It costs {number(costs.money.mean, 2)} more to charge."
    return said


def trip_table(found: FirstTrip) -> Table:
    """Write both trips side by side.

    Parameters
    ----------
    found : FirstTrip
        The two trips.

    Returns
    -------
    Table
        Rows for parts, sum, range and money; means.
    """
    cold, warmed, costs = found.cold, found.warmed, found.costs

    def row(what: str, a: float, b: float, c: float, decimals: int, unit: str) -> tuple[str, ...]:
        return (what, *(f"{number(v, decimals)} {unit}".rstrip() for v in (a, b, c)))

    rows = [
        row(PARTS[line][0], cold.lines[line].mean, warmed.lines[line].mean,
            costs.by_line[line].mean, 2, "kWh")
        for line in shown_lines(found)
    ]  # fmt: skip
    rows.append(row("all, out of the cells", cold.taken.mean, warmed.taken.mean,
                    costs.kWh.mean, 2, "kWh"))  # fmt: skip
    rows.append(row("regenerated on the way", cold.regenerated.mean, warmed.regenerated.mean,
                    -costs.regenerated.mean, 2, "kWh"))  # fmt: skip
    a, b = cold.range_km.mean, warmed.range_km.mean
    rows.append(row("range on such roads", a, b, a - b, 0, "km"))
    if found.price_per_kWh:
        rows.append(row("to pay", cold.money.mean, warmed.money.mean, costs.money.mean, 2, ""))
    heads = ("what", "leaving cold", "leaving then", "cold less then")
    return Table("The first trip, side by side", heads, tuple(rows))


def began_words(begin: Begin) -> str:
    """Say how warm a trip began.

    Parameters
    ----------
    begin : Begin
        The beginning.

    Returns
    -------
    str
        Pack, coldest cell, cabin and air outside.
    """

    def mean(value: object) -> str:
        return f"{number(float(np.mean(np.asarray(value, dtype=np.float64))), 1)} °C"

    coldest = begin.pack_degC if begin.coldest_degC is None else begin.coldest_degC
    cabin = begin.outside_degC if begin.cabin_degC is None else begin.cabin_degC
    return (
        f"pack {mean(begin.pack_degC)}, coldest cell {mean(coldest)}, cabin {mean(cabin)}, "
        f"outside {mean(begin.outside_degC)}"
    )


def trip_text(found: FirstTrip) -> str:
    """Write both trips as text.

    Parameters
    ----------
    found : FirstTrip
        The two trips.

    Returns
    -------
    str
        Lines.
    """
    table = trip_table(found)
    lines = [f"{found.recording_id}, the first trip ({found.cold.trace.name}).",
             f"  leaving cold: {began_words(found.cold.begin)}",
             f"  leaving then: {began_words(found.warmed.begin)}", ""]  # fmt: skip
    lines += [f"  {a:<24} {b:>14} {c:>14} {d:>16}" for a, b, c, d in (table.heads, *table.rows)]
    lines += ["", trip_sentence(found), "It takes for granted:"]
    lines += [f"  - {words}" for words in found.assumes]
    return "\n".join(lines)


def _spread_json(spread: Spread) -> dict[str, float]:
    return {"mean": round(spread.mean, 4), "p10": round(spread.p10, 4),
            "p50": round(spread.p50, 4), "p90": round(spread.p90, 4)}  # fmt: skip


def _side_json(trip: Trip) -> dict[str, Any]:
    begin = trip.begin
    pack = float(np.mean(begin.pack_degC))
    return {
        "pack_degC": round(pack, 2),
        "coldest_degC": round(
            pack if begin.coldest_degC is None else float(np.mean(begin.coldest_degC)), 2
        ),
        "energy_kWh": {line: _spread_json(trip.lines[line]) for line in LINES},
        "taken_kWh": _spread_json(trip.taken),
        "regenerated_kWh": _spread_json(trip.regenerated),
        "range_km": _spread_json(trip.range_km),
        "money": _spread_json(trip.money),
    }


def trip_document(found: FirstTrip) -> dict[str, Any]:
    """Describe both trips for a program.

    Parameters
    ----------
    found : FirstTrip
        The two trips.

    Returns
    -------
    dict
        ``recording``, ``leave_s``, ``road``, ``km``, ``cold``, ``warmed``, ``costs``, ``assumes``.
    """
    costs = found.costs
    return {
        "recording": found.recording_id,
        "leave_s": found.leave_s,
        "road": found.cold.trace.name,
        "km": round(found.cold.km, 3),
        "outside_degC": round(float(np.mean(found.cold.begin.outside_degC)), 2),
        "price_per_kWh": found.price_per_kWh,
        "cold": _side_json(found.cold),
        "warmed": _side_json(found.warmed),
        "costs": {
            "kWh": _spread_json(costs.kWh),
            "km_of_range": _spread_json(costs.km_of_range),
            "range_share": _spread_json(costs.range_share),
            "money": _spread_json(costs.money),
            "regenerated_kWh": _spread_json(costs.regenerated),
            "by_line_kWh": {line: _spread_json(costs.by_line[line]) for line in LINES},
        },
        "assumes": list(found.assumes),
    }
