"""Measure one explained morning: what the car did, and under which conditions."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.compare.sides import beside, channel, flow, side_of
from thawline.compare.warming import first
from thawline.findings.finding import Figures
from thawline.physics.constants import constants
from thawline.recording.powers import BATTERY
from thawline.report.explained import Explained
from thawline.trends.morning import Morning, Value
from thawline.vehicle.vehicle import Vehicle

#: Turning points whose time is followed, and the lane whose first span they are counted from.
FOLLOWED = {
    "regeneration-returns": "pack-heating",
    "coldest-cell-thaws": "pack-heating",
    "charging-begins": "pack-heating",
    "pack-heating-ends": "pack-heating",
    "cabin-comfortable": "cabin",
}
COLDEST, MEAN = BATTERY + "Temperature.Min", BATTERY + "Temperature.Average"
SHOWN = BATTERY + "StateOfCharge.Displayed"
OUTSIDE = "Exterior.AirTemperature"
MINUTE_S, HOUR_MIN, MILLI = 60.0, 60.0, 1e-3


def setting(name: str) -> float:
    """Take a setting of this room.

    Parameters
    ----------
    name : str
        Name of the row of ``settings.csv``.

    Returns
    -------
    float
        Its value, in the table's unit.
    """
    return constants("thawline.trends", "settings.csv")[name]


def model_of(vehicle: Vehicle) -> str:
    """Tell what vehicles that are built like this one share.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.

    Returns
    -------
    str
        Its model, or, where its file names none, its pack and drive units.
    """
    if vehicle.model:
        return vehicle.model
    cells = f", {vehicle.pack.cells_in_series} cells" if vehicle.pack.cells_in_series else ""
    units = f", {vehicle.drive_units.count} drive units" if vehicle.drive_units.count else ""
    return f"{vehicle.pack.usable_energy_kWh:g} kWh{cells}{units}"


def _conditions(explained: Explained) -> dict[str, float]:
    t, zero_s = explained.flows.t, side_of("", explained).zero_s
    found: dict[str, float | None] = {}
    outside = channel(explained, OUTSIDE)
    found["outside"] = None if outside is None else float(np.nanmean(outside))
    for path in (COLDEST, MEAN):
        values = channel(explained, path)
        if found.get("coldest") is None and values is not None:
            known = values[(t >= zero_s) & ~np.isnan(values)]
            found["coldest"] = beside(t, values, zero_s)
            if found["coldest"] is None and len(known):
                found["coldest"] = float(known[0])
    found["charge"] = beside(t, channel(explained, SHOWN), zero_s)
    supply = flow(explained, "supply")
    if supply is not None:
        found["supply"] = max(float(np.nanquantile(supply, setting("supply_quantile"))), 0.0)
    return {name: value for name, value in found.items() if value is not None}


def _times(explained: Explained) -> dict[str, Value]:
    """Read how long each turning point took, from the moment its cause began."""
    begins = {
        lane: min((s.from_s for s in explained.story.spans if s.lane == lane), default=None)
        for lane in set(FOLLOWED.values())
    }
    found = {}
    for kind, lane in FOLLOWED.items():
        begin = begins[lane]
        # what was on already when the recording began has no beginning to count from
        if begin is None or begin <= setting("from_start_s"):
            continue
        point = first(explained, kind, begin)
        if point is not None and point.t_s > begin:
            minutes = (point.t_s - begin) / MINUTE_S
            found[f"time.{kind}"] = Value(minutes, point.plus_minus_s / MINUTE_S)
    return found


def _energies(explained: Explained) -> dict[str, Value]:
    lines = {line.line: line for line in explained.ledger.electrical if line.kWh is not None}
    found = {}
    for name, parts in (
        ("energy.supply", ("supply",)),
        ("energy.heating", ("drive-unit-heating", "cabin-heating")),
    ):
        known = [lines[part] for part in parts if part in lines]
        total = sum(line.kWh or 0.0 for line in known)
        if len(known) == len(parts) and total > setting("least_kWh"):
            spread = float(np.hypot.reduce([line.plus_minus_kWh or 0.0 for line in known]))
            found[name] = Value(total, spread)
    return found


def _from_figures(figures: Figures) -> dict[str, Value]:
    found = {}
    for name, figure, scale in (
        ("warming", "log_K_per_kWh", 1.0 / HOUR_MIN),
        ("resistance", "log_ohm", 1.0 / MILLI),
    ):
        if (one := figures.values.get(figure)) is not None:
            value = float(np.exp(one.value)) * scale
            found[name] = Value(value, value * one.sigma)
    if (loss := figures.values.get("charger_loss_share")) is not None:
        found["charger_loss"] = Value(100.0 * loss.value, 100.0 * loss.sigma)
    return found


def _warmed_back(explained: Explained) -> dict[str, Value]:
    shown, back = explained.charge.shown, explained.charge.warmed_back
    if shown.pct is None or back.pct is None or shown.pct < setting("least_shown_pct"):
        return {}
    share = 100.0 * back.pct / shown.pct
    spread = 100.0 * (back.plus_minus_pct or 0.0) / shown.pct
    return {"warmed_back": Value(share, spread)}


def measure(explained: Explained) -> Morning:
    """Measure one explained morning.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    Morning
        Its figures and conditions.
    """
    recording = explained.recording
    empty = Figures(recording.id, recording.starts_at, None)
    figures = explained.figures or empty
    values = {
        **_times(explained),
        **_from_figures(figures),
        **_energies(explained),
        **_warmed_back(explained),
    }
    kinds = {point.kind for point in explained.story.turning_points}
    is_plugged = "plugged-in" in kinds or any(s.lane == "supply" for s in explained.story.spans)
    finite = {
        name: one
        for name, one in values.items()
        if np.isfinite(one.value) and np.isfinite(one.sigma)
    }
    return Morning(
        recording.id,
        recording.vehicle.name,
        model_of(recording.vehicle),
        recording.starts_at,
        recording.duration_s,
        _conditions(explained),
        is_plugged,
        finite,
        replace(figures, recording_id=recording.id),
    )
