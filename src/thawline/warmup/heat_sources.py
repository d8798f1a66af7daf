"""Where the pack's heat comes from, as well as the recording tells it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.recording.clock import on_clock
from thawline.recording.flows import Flows
from thawline.recording.powers import BATTERY, MOTOR, moving, paths_like
from thawline.recording.recording import Recording
from thawline.story.story import Story
from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.settings import setting

Array = NDArray[np.float64]
PACK = tuple(f"{BATTERY}Temperature.{which}" for which in ("Average", "Min", "Max"))
CABIN_WANTED = "Cabin.HVAC.IsConditioningRequested"
HOT = (f"{BATTERY}Coolant.InletTemperature", f"{MOTOR}EngineCoolant.Temperature")


@dataclass(frozen=True, slots=True)
class HeatSources:
    """Heating power on the flows' clock.

    Parameters
    ----------
    drive_kW : ndarray of float64, shape (n,)
        Heat made in the drive units; never NaN [kW].
    heater_kW : ndarray of float64, shape (n,)
        Heat that a heater puts into the coolant; never NaN [kW].
    cabin_kW : ndarray of float64, shape (n,) or None
        Power of the cabin's heaters, or what other powers leave for them while the cabin is
        wanted; None if nothing tells [kW].
    origin : str
        ``measured``, ``derived`` (from other powers) or ``assumed``.
    note : str
        How it was found, in plain words.
    """

    drive_kW: Array
    heater_kW: Array
    cabin_kW: Array | None
    origin: str
    note: str

    @property
    def total_kW(self) -> Array:
        """All heat [kW]."""
        return self.drive_kW + self.heater_kW


def expected_heat_kW(vehicle: Vehicle) -> float:
    """Tell how much heat the drive units of a vehicle are expected to make at standstill.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.

    Returns
    -------
    float
        What the vehicle file says of one unit, else common practice, times the units [kW].
    """
    units = vehicle.drive_units
    each = units.standstill_heat_kW or setting("standstill_heat_per_unit_kW")
    return each * (units.count or setting("usual_units"))


def held(values: Array, before: float = 0.0) -> Array:
    """Fill what is not known with the last value that is.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Values; NaN where unknown [unit].
    before : float
        What stands where nothing was known yet [unit].

    Returns
    -------
    ndarray of float64, shape (n,)
        Values without NaN [unit].
    """
    known = ~np.isnan(values)
    last = np.maximum.accumulate(np.where(known, np.arange(len(values)), -1))
    return np.asarray(np.where(last >= 0, values[np.maximum(last, 0)], before))


def _flow(flows: Flows, name: str) -> Array | None:
    flow = flows.flows.get(name)
    return None if flow is None else flow.kW


def _left_over(flows: Flows) -> Array | None:
    """Find what charger and pack give and no other recorded load takes."""
    pack = _flow(flows, "pack")
    if pack is None:
        return None
    output = _flow(flows, "charger-output")
    supply = _flow(flows, "supply")
    if output is None:
        output = np.zeros(len(pack)) if supply is None else supply
    low = _flow(flows, "low-voltage")
    rest = np.nan_to_num(output) - held(pack) - (setting("base_load_kW") if low is None else low)
    for name in ("cabin-heating", "driving"):
        other = _flow(flows, name)
        if other is not None:
            rest = rest - np.nan_to_num(other)
    return np.maximum(np.nan_to_num(rest), 0.0)


def _others_times(told: Array, rest: Array | None, heater: Array | None, most: float) -> float:
    """Find how much more heat there is than some units tell: what the account leaves for it."""
    on = np.nan_to_num(told) > setting("on_kW")
    if rest is None or not np.any(on):
        return most
    left = rest - (0.0 if heater is None else held(heater))
    return float(np.clip(np.median(left[on]) / np.median(told[on]), 1.0, most))


def _cabin_left_over(
    recording: Recording, flows: Flows, heat_kW: Array, *, is_sure: bool
) -> Array | None:
    """Find what the cabin takes where nothing records it: what is left while it is wanted.

    Nothing left means that it takes nothing only where the pack's heat is sure.
    """
    rest, wanted = _left_over(flows), recording.channels.get(CABIN_WANTED)
    if rest is None or wanted is None or not len(wanted.t):
        return None
    on = held(on_clock(wanted, flows.t, recording.gaps)) > 0.5
    left = np.where(on, np.maximum(rest - heat_kW, 0.0), 0.0)
    return left if is_sure or np.any(left > setting("on_kW")) else None


def _seems_heated(recording: Recording, flows: Flows, rest: Array | None) -> Array:
    """Tell where the pack seems to be heated, although nothing says so: 1 or 0.

    Metal or coolant stands well above the pack while the car stands; where neither is
    recorded, power is left over that no recorded load takes.
    """
    pack = next((c for path in PACK if (c := recording.channels.get(path)) is not None), None)
    windings = [p for p in paths_like(recording, MOTOR, ".Temperature") if "Engine" not in p]
    hot = [recording.channels[p] for p in (*windings, *HOT) if p in recording.channels]
    moves = moving(recording, flows.t)
    stands = np.ones(len(flows.t), dtype=np.bool_) if moves is None else ~moves
    if pack is not None and hot:
        cold = held(on_clock(pack, flows.t, recording.gaps), float(pack.values[0]))
        warmest = np.max(
            [held(on_clock(c, flows.t, recording.gaps), float(c.values[0])) for c in hot], axis=0
        )
        warm = warmest - cold > setting("seems_heated_K")
    else:
        warm = np.ones(len(flows.t), dtype=np.bool_)
        if rest is None:
            return np.zeros(len(flows.t))
    taken = np.ones(len(flows.t)) if rest is None else rest
    return np.asarray(stands & warm & (taken > setting("seems_heated_kW")), dtype=np.float64)


def heat_sources(recording: Recording, flows: Flows, story: Story) -> HeatSources:
    """Find the heat that warms the pack.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    story : Story
        Its story; its spans of heating stand in where no power tells.

    Returns
    -------
    HeatSources
        Power by power, and how well it is known.
    """
    drive, heater = _flow(flows, "drive-unit-heating"), _flow(flows, "pack-heater")
    cabin = _flow(flows, "cabin-heating")
    nothing = np.zeros(len(flows.t))
    rolling = _flow(flows, "driving")
    rolls = nothing if rolling is None else setting("driving_loss") * np.abs(held(rolling))
    origin, note = "measured", "the heat that the car reports"
    heated = nothing.copy()
    for span in story.spans:
        if span.lane == "pack-heating":
            heated[(flows.t >= span.from_s) & (flows.t <= span.to_s)] = 1.0
    if drive is None and heater is None:
        rest = _left_over(flows)
        if not heated.any():
            heated = _seems_heated(recording, flows, rest)
        if rest is not None and np.any(rest * heated > setting("on_kW")):
            drive, origin = rest * heated, "derived"
            note = "what charger and pack give and no recorded load takes, while heating was on"
        else:
            drive, origin = heated * expected_heat_kW(recording.vehicle), "assumed"
            note = "no power is recorded: the usual heat of the drive units while heating was on"
    elif drive is not None and "drive-unit-heating" in flows.lost:
        count = recording.vehicle.drive_units.count or 1
        told = max(1, len(paths_like(recording, MOTOR, ".StandstillHeat")))
        times = _others_times(drive, _left_over(flows), heater, max(1.0, count / told))
        drive, origin = drive * times, "derived"
        note = f"{flows.lost['drive-unit-heating']}; the others are taken as "
        note += "alike" if times == max(1.0, count / told) else "charger and pack leave for them"
    if cabin is None:
        warmed = (nothing if drive is None else held(drive)) + held(
            nothing if heater is None else heater
        )
        cabin = _cabin_left_over(recording, flows, warmed, is_sure=origin == "measured")
    return HeatSources(
        np.maximum(held(nothing if drive is None else drive), 0.0) + rolls,
        np.maximum(held(nothing if heater is None else heater), 0.0),
        None if cabin is None else np.maximum(held(cabin), 0.0),
        origin,
        note,
    )
