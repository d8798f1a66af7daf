"""A small invented morning, made directly of channels, with its true turning points."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field, replace

import numpy as np

from thawline.recording.flows import Flows, make_flows
from thawline.recording.recording import Channel, Gap, Recording
from thawline.recording.sensor import noise as noise_of
from thawline.recording.sensor import period, resolution, stale_after
from thawline.signals.catalogue import find_signal
from thawline.story.scene import Scene, make_scene
from thawline.vehicle.vehicle import Charger, DriveUnits, Limits, Pack, Vehicle

BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."
CABLE = CHARGING + "ChargingPort.Rear.IsChargingCableConnected"
DT = 0.1


@dataclass(frozen=True)
class Sensor:
    """How a channel sees the truth: its period [s], step and noise [unit]."""

    period_s: float = 1.0
    step: float = 0.0
    noise: float = 0.0


@dataclass(frozen=True)
class Plan:
    """What happens on the morning; times in s, temperatures in degC, powers in kW."""

    duration_s: float = 2400.0
    start_degC: float = -6.0
    plug_s: float = 120.0
    unplug_s: float = 2200.0
    cabin_s: tuple[float, float] | None = (300.0, 2100.0)
    request_s: tuple[float, float] | None = (125.0, 2190.0)
    amps: float = 24.0
    volts: float = 208.0
    drop_outs: tuple[tuple[float, float], ...] = ()
    drive_s: tuple[float, float] | None = (2260.0, 2380.0)
    heat_kW: float = 3.4
    heat_target_degC: float = 8.0
    heat_capacity_kJ_per_K: float = 160.0
    cabin_kW: float = 1.2
    charging_from_degC: float = 0.2
    regeneration_from_degC: float = -1.0
    duty_s: float = 0.0
    sensors: dict[str, Sensor] = field(default_factory=dict)
    leave_out: tuple[str, ...] = ()
    gap_s: tuple[float, float] | None = None
    seed: int = 0


SENSORS = {
    "Temperature.Min": Sensor(1.0, 0.1, 0.03),
    "CurrentCurrent": Sensor(0.1, 0.1, 0.15),
    "CurrentVoltage": Sensor(0.1, 0.1, 0.1),
    "ChargeCurrent.Phase1": Sensor(0.5, 0.1, 0.03),
    "ChargeVoltage.Phase1": Sensor(0.5, 1.0, 0.2),
    "Limits.ChargePower": Sensor(0.5, 0.1, 0.0),
    "Limits.RegenerationPower": Sensor(0.5, 0.1, 0.0),
    "AmbientAirTemperature": Sensor(1.0, 0.5, 0.0),
    "StandstillHeat": Sensor(0.2, 0.01, 0.01),
    "Heater.Main.Power": Sensor(0.5, 10.0, 5.0),
    "Coolant.Flow": Sensor(1.0, 0.1, 0.1),
    "Speed": Sensor(0.1, 0.05, 0.02),
    "StateOfCharge": Sensor(1.0, 0.1, 0.0),
    "Air": Sensor(1.0, 0.5, 0.0),
}


def _ramp(wanted: np.ndarray, per_s: float) -> np.ndarray:
    out, now = np.empty_like(wanted), 0.0
    for i, want in enumerate(wanted):
        now += float(np.clip(want - now, -per_s * DT, per_s * DT))
        out[i] = now
    return out


def _between(t: np.ndarray, span: tuple[float, float] | None) -> np.ndarray:
    if span is None:
        return np.zeros(len(t), dtype=bool)
    return (t >= span[0]) & (t < span[1])


_RUN: dict[str, tuple[np.ndarray, dict[str, np.ndarray]]] = {}


def truth(plan: Plan) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Run the morning once, however often it is asked for."""
    what_happens = repr(replace(plan, sensors={}, leave_out=(), gap_s=None))
    if what_happens not in _RUN:
        _RUN[what_happens] = _run(plan)
    return _RUN[what_happens]


def _run(plan: Plan) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Run the morning at ten ticks a second: every quantity by a short name."""
    t = np.arange(0.0, plan.duration_s, DT)
    rng = np.random.default_rng(plan.seed)
    cable = _between(t, (plan.plug_s, plan.unplug_s))
    live = cable & (t >= plan.plug_s + 2.0)
    for span in plan.drop_outs:
        live &= ~_between(t, span)
    asked, cabin_asked = _between(t, plan.request_s), _between(t, plan.cabin_s)
    ceiling = plan.amps * plan.volts / 1e3
    cell, air, heat, drawn = plan.start_degC, plan.start_degC, 0.0, 0.0
    done = False
    rows = np.empty((len(t), 8))
    cabin_heat = _ramp(np.where(cabin_asked, plan.cabin_kW, 0.0), 0.5)
    for i, at in enumerate(t):
        done = done or cell >= plan.heat_target_degC
        wants = ((asked[i] and live[i]) or cabin_asked[i]) and not done
        pulse = 1.0
        if plan.duty_s and (at % plan.duty_s) > 0.6 * plan.duty_s:
            pulse = 0.0
        heat += float(np.clip(wants * pulse * plan.heat_kW - heat, -2.0 * DT, 2.0 * DT))
        limit = max(0.0, 2.0 * (cell - plan.charging_from_degC)) if asked[i] else 0.0
        regen = max(0.0, 2.7 * (cell - plan.regeneration_from_degC))
        loads = heat + cabin_heat[i] + 0.3
        goal = min(ceiling, (loads + min(limit, 40.0)) / 0.92) if live[i] else 0.0
        drawn += float(np.clip(goal - drawn, -99.0 if not live[i] else -1.0 * DT, 0.15 * DT))
        into = 0.92 * drawn - loads
        cell += heat * 0.9 * DT / plan.heat_capacity_kJ_per_K
        air += (1000.0 * cabin_heat[i] - 35.0 * (air - plan.start_degC)) * DT / 9000.0
        rows[i] = heat, limit, regen, drawn, into, cell, air, loads
    names = ("heat", "limit", "regen", "drawn", "into", "cell", "air", "loads")
    found = dict(zip(names, rows.T, strict=True))
    speed = np.zeros(len(t))
    if plan.drive_s:
        a, b = plan.drive_s
        speed = np.interp(t, [a, a + 10, b - 10, b], [0.0, 40.0, 40.0, 0.0])
        found["into"] = found["into"] - 0.2 * speed
    sway = np.convolve(rng.normal(0.0, 1.0, len(t)), np.ones(40) / 40.0, mode="same")
    found["into"] = found["into"] + np.where(live, 0.15 * sway, 0.0)
    found |= {"cable": cable, "live": live, "asked": asked, "cabin": cabin_asked}
    return t, found | {"cabin_heat": cabin_heat, "speed": speed}


def _channel(
    path: str, t: np.ndarray, values: np.ndarray, plan: Plan, rng: np.random.Generator
) -> Channel:
    name = find_signal(path)
    assert name is not None
    chosen = {**SENSORS, **plan.sensors}
    key = max((k for k in chosen if k in path), key=len, default="")
    sensor = chosen.get(key, Sensor(0.5))
    at = np.arange(rng.uniform(0.0, sensor.period_s), float(t[-1]), sensor.period_s)
    seen = np.interp(at, t, values.astype(float))
    if name.is_state:
        seen = (values[np.searchsorted(t, at)] > 0).astype(float)
    else:
        seen = seen + rng.normal(0.0, sensor.noise, len(at)) if sensor.noise else seen
        seen = np.round(seen / sensor.step) * sensor.step if sensor.step else seen
    if plan.gap_s is not None:
        keep = (at <= plan.gap_s[0]) | (at >= plan.gap_s[1])
        at, seen = at[keep], seen[keep]
    gaps = (plan.gap_s,) if plan.gap_s else ()
    return Channel(
        path,
        name.unit,
        at,
        seen,
        name.is_state,
        resolution(seen),
        noise_of(seen),
        period(at),
        stale_after(at, gaps, is_state=name.is_state),
    )


def channel_of(path: str, t: np.ndarray, truth: Callable[[np.ndarray], np.ndarray]) -> Channel:
    """Make one channel of a function of time."""
    name = find_signal(path)
    assert name is not None
    seen = np.asarray(truth(t), dtype=np.float64)
    is_state = bool(truth(t).dtype == np.bool_)
    stale = stale_after(t, (), is_state=is_state)
    return Channel(
        path, name.unit, t, seen, is_state, resolution(seen), noise_of(seen), period(t), stale
    )


def gannet(**changes: object) -> Vehicle:
    """Give the vehicle of the morning."""
    given = {
        "name": "Gannet",
        "pack": Pack(usable_energy_kWh=72.0),
        "drive_units": DriveUnits(count=1),
        "limits": Limits(charging_from_degC=0.0, regeneration_from_degC=-1.0),
        "charger": Charger(rated_kW=11.0),
    }
    return Vehicle(**{**given, **changes})


def morning(
    plan: Plan, vehicle: Vehicle | None = None, more: dict[str, float | np.ndarray] | None = None
) -> tuple[Recording, Flows]:
    """Record a morning with all its sensors, except those left out, and some more."""
    t, true = truth(plan)
    rng = np.random.default_rng(plan.seed + 1)
    volts = 380.0 + 4.0 * true["into"] / 5.0
    signals = {
        BATTERY + "Temperature.Min": true["cell"],
        BATTERY + "CurrentCurrent": true["into"] / volts * 1e3,
        BATTERY + "CurrentVoltage": volts,
        CHARGING + "ChargeCurrent.Phase1": true["drawn"] / plan.volts * 1e3,
        CHARGING + "ChargeVoltage.Phase1": np.where(true["live"], plan.volts, 0.0),
        CHARGING + "OfferedCurrent": np.where(true["cable"], plan.amps, 0.0),
        CHARGING + "IsRequested": true["asked"],
        CABLE: true["cable"],
        BATTERY + "Limits.ChargePower": true["limit"],
        BATTERY + "Limits.RegenerationPower": true["regen"],
        BATTERY + "Coolant.Flow": np.where(true["heat"] > 0.0, 8.0, 0.0),
        "Powertrain.ElectricMotor.Rear.StandstillHeat": true["heat"],
        "Cabin.HVAC.Heater.Main.Power": true["cabin_heat"] * 1e3,
        "Cabin.HVAC.IsConditioningRequested": true["cabin"],
        "Cabin.HVAC.AmbientAirTemperature": true["air"],
        "Exterior.AirTemperature": np.full(len(t), plan.start_degC),
        "Speed": true["speed"],
    }
    signals |= {path: value * np.ones(len(t)) for path, value in (more or {}).items()}
    channels = {
        path: _channel(path, t, np.asarray(values), plan, rng)
        for path, values in signals.items()
        if not any(left in path for left in plan.leave_out)
    }
    gaps = () if plan.gap_s is None else (Gap(*plan.gap_s),)
    recording = Recording("morning", vehicle or gannet(), 0.0, plan.duration_s, channels, gaps)
    return recording, make_flows(recording)


def _first(t: np.ndarray, on: np.ndarray) -> float | None:
    return float(t[np.argmax(on)]) if on.any() else None


def true_points(plan: Plan) -> dict[str, float]:
    """Give the true times of the turning points that the plan brings about, once each."""
    t, true = truth(plan)
    into = np.minimum(true["drawn"], 0.92 * true["drawn"] - true["loads"])
    charged = into > 0.0
    points = {
        "plugged-in": plan.plug_s,
        "unplugged": plan.unplug_s,
        "pack-heating-begins": _first(t, true["heat"] > 0.0),
        "regeneration-returns": _first(t, true["regen"] > 0.0),
        "coldest-cell-thaws": _first(t, true["cell"] >= 0.0),
        "charging-begins": _first(t, charged & (true["limit"] > 0.0)),
        "drive-begins": plan.drive_s[0] if plan.drive_s else None,
        "drive-ends": plan.drive_s[1] if plan.drive_s else None,
    }
    heated = np.flatnonzero(true["heat"] > 0.0)
    if len(heated):
        points["pack-heating-ends"] = float(t[heated[-1]])
    return {kind: when for kind, when in points.items() if when is not None}


def scene(plan: Plan, vehicle: Vehicle | None = None, **more: float | np.ndarray) -> Scene:
    """Lay a morning on its clock; more signals by their last word."""
    return make_scene(*morning(plan, vehicle, {MORE[name]: value for name, value in more.items()}))


MORE = {
    "target": CHARGING + "ChargeLimit",
    "charge": BATTERY + "StateOfCharge.Current",
    "shown": BATTERY + "StateOfCharge.Displayed",
    "pilot": CHARGING + "PilotDutyCycle",
    "warm_target": BATTERY + "BatteryConditioning.TargetTemperature",
    "conditioning": BATTERY + "BatteryConditioning.IsActive",
    "ongoing": BATTERY + "BatteryConditioning.IsOngoing",
    "is_charging": CHARGING + "IsCharging",
    "winding": "Powertrain.ElectricMotor.Rear.Temperature",
    "cabin_target": "Cabin.HVAC.TargetTemperature",
    "output": CHARGING + "OutputPower",
    "volts_2": CHARGING + "ChargeVoltage.Phase2",
    "amps_2": CHARGING + "ChargeCurrent.Phase2",
    "direct_volts": CHARGING + "ChargeVoltage.DC",
    "direct_amps": CHARGING + "ChargeCurrent.DC",
    "direct_most": CHARGING + "MaximumChargingCurrent.DC",
    "motor": "Powertrain.ElectricMotor.Power",
    "motor_speed": "Powertrain.ElectricMotor.Speed",
}
