"""Figures of both mornings, side by side."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np

from thawline.charge.charge import Gain
from thawline.compare.comparison import Row, Side
from thawline.compare.sides import Array, ExplainedLike, beside, channel, flow, heat, setting
from thawline.recording.powers import BATTERY

COLDEST = BATTERY + "Temperature.Min"
LIMITS = {
    "charging": BATTERY + "Limits.ChargePower",
    "regeneration": BATTERY + "Limits.RegenerationPower",
}
#: Coldest cells at which what is allowed is held against each other [degC].
ALLOWED_AT_DEGC = (3.0, 6.0)
LINES = {
    "supply": "taken from the supply",
    "charger-loss": "charger loss",
    "drive-unit-heating": "drive unit heating",
    "cabin-heating": "cabin heating",
    "other-loads": "other loads",
    "pack-in": "into the pack",
    "pack-out": "from the pack",
}
Value = tuple[float | None, float]
Reader = Callable[[ExplainedLike, Side], Value]
Figure = tuple[str, str, str, str, float, Reader]


def _mean_above(values: Array | None, least: float) -> float | None:
    if values is None:
        return None
    on = values[np.nan_to_num(values) > least]
    return float(np.mean(on)) if len(on) else None


def _gain(gain: Gain) -> Value:
    return gain.pct, gain.plus_minus_pct or 0.0


def _line(explained: ExplainedLike, name: str) -> Value:
    for line in explained.ledger.electrical:
        if line.line == name:
            return line.kWh, line.plus_minus_kWh or 0.0
    return None, 0.0


def _allowed(explained: ExplainedLike, what: str, degC: float) -> float | None:
    """Read what was allowed when the coldest cell was at a temperature."""
    coldest, limit = channel(explained, COLDEST), channel(explained, LIMITS[what])
    if coldest is None or limit is None:
        return None
    near = np.abs(coldest - degC) < 0.5
    near &= ~np.isnan(limit)
    if np.count_nonzero(near) < 5:
        return None
    x, y = coldest[near], limit[near]
    if float(np.ptp(x)) < 0.2:
        return float(np.median(y))
    return max(float(np.polyfit(x - degC, y, 1)[1]), 0.0)


def _plain(read: Callable[[ExplainedLike, Side], float | None]) -> Reader:
    return lambda explained, side: (read(explained, side), 0.0)


def _at_zero(path: str) -> Reader:
    return _plain(lambda e, s: beside(e.flows.t, channel(e, path), s.zero_s))


def _at_end(path: str) -> Reader:
    return _plain(lambda e, _: beside(e.flows.t, channel(e, path), float(e.flows.t[-1])))


def _at_degC(what: str, degC: float) -> Figure:
    """Make the figure of what was allowed at a temperature."""
    read = _plain(lambda e, _: _allowed(e, what, degC))
    title = f"{what} at {degC:.0f} °C"
    return f"{what}-at-{degC:.0f}-degC", "Allowed", title, "kW", 0.5, read


def _of_line(name: str) -> Reader:
    return lambda explained, _: _line(explained, name)


def _readers() -> list[Figure]:
    """List the figures: key, group, title, unit, least difference, and how each is read."""
    rows: list[Figure] = [
        ("start-coldest", "Start", "coldest cell at the start", "degC", 0.5, _at_zero(COLDEST)),
        ("start-outside", "Start", "air outside", "degC", 1.0,
         _at_zero("Exterior.AirTemperature")),
        ("start-shown", "Start", "charge shown at the start", "percent", 1.0,
         _at_zero(BATTERY + "StateOfCharge.Displayed")),
        ("end-coldest", "Start", "coldest cell at the end", "degC", 0.5, _at_end(COLDEST)),
        ("supply-mean", "Powers", "supply while it gave", "kW", 0.2,
         _plain(lambda e, _: _mean_above(flow(e, "supply"), setting("supplied_kW")))),
        ("heat-mean", "Powers", "pack heating while it heated", "kW", 0.2,
         _plain(lambda e, _: _mean_above(heat(e), setting("heating_kW")))),
        ("cabin-mean", "Powers", "cabin heating while it heated", "kW", 0.2,
         _plain(lambda e, _: _mean_above(flow(e, "cabin-heating"), setting("heating_kW")))),
    ]  # fmt: skip
    for what in ("regeneration", "charging"):
        rows += [_at_degC(what, degC) for degC in ALLOWED_AT_DEGC]
        rows.append(
            (f"{what}-at-end", "Allowed", f"{what} at the end", "kW", 0.5, _at_end(LIMITS[what]))
        )
    rows += [
        ("charge-shown", "Charge", "gained on the display", "points", 0.3,
         lambda e, _: _gain(e.charge.shown)),
        ("charge-charged", "Charge", "charged", "points", 0.3,
         lambda e, _: _gain(e.charge.charged)),
        ("charge-warmed-back", "Charge", "warmed back", "points", 0.3,
         lambda e, _: _gain(e.charge.warmed_back)),
    ]  # fmt: skip
    rows += [
        (f"energy-{line}", "Energy", title, "kWh", 0.05, _of_line(line))
        for line, title in LINES.items()
    ]
    return rows


def figures(
    a: ExplainedLike, b: ExplainedLike, sides: tuple[Side, Side], per_kWh: float | None
) -> tuple[Row, ...]:
    """Put the figures of both mornings side by side.

    Parameters
    ----------
    a, b : ExplainedLike
        The explained recordings.
    sides : tuple of Side
        Their clocks.
    per_kWh : float or None
        Price of a kilowatt-hour [1/kWh].

    Returns
    -------
    tuple of Row
        The figures that at least one of them tells.
    """
    found = []
    for key, group, title, unit, least, read in _readers():
        (va, sa), (vb, sb) = read(a, sides[0]), read(b, sides[1])
        if va is not None or vb is not None:
            found.append(Row(key, group, title, unit, va, vb, sa, sb, least))
    if per_kWh is not None:
        supply = next((row for row in found if row.key == "energy-supply"), None)
        if supply is not None:
            a_cost, b_cost = (None if v is None else v * per_kWh for v in (supply.a, supply.b))
            a_error, b_error = supply.a_sigma * per_kWh, supply.b_sigma * per_kWh
            title = "cost of the supply"
            found.append(Row("cost", "Cost", title, "", a_cost, b_cost, a_error, b_error, 0.01))
    return tuple(found)
