"""A car to prove the model on: richer than the model, and written apart from it.

A plate under ten cell groups in a row with a core each, coolant that takes time to go round
and thickens in the cold, drive units with winding and iron that are spared when hot, limits
by temperature, a charger that feeds loads first, a cabin of air and mass.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from thawline.recording.recording import Channel, Gap, Recording
from thawline.recording.sensor import noise, period, resolution, stale_after
from thawline.signals.catalogue import find_signal
from thawline.vehicle.vehicle import Charger, DriveUnits, Limits, Pack, Vehicle

BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."
DT = 0.5
GROUPS = 10


@dataclass(frozen=True)
class Build:
    """How the car is built; kJ/K, kW/K, kW, s, degC."""

    name: str = "Gannet"
    energy_kWh: float = 72.0
    cells: int = 108
    pack_capacity: float = 480.0
    core_share: float = 0.6
    core_lag_s: float = 150.0
    plate_conductance: float = 0.9
    pack_loss: float = 0.010
    end_loss: float = 0.003
    units: int = 2
    unit_kW: float = 3.4
    winding_capacity: float = 4.0
    iron_capacity: float = 19.0
    winding_to_iron: float = 0.12
    iron_to_coolant: float = 0.10
    iron_loss: float = 0.004
    spare_from_degC: float = 120.0
    flow_l_per_min: float = 10.0
    loop_l: float = 9.0
    regeneration_from: float = -1.0
    charging_from: float = 0.3
    heat_until: float = 6.0
    slope_kW_per_K: float = 2.6
    bend_kW_per_K2: float = 0.12
    rated_kW: float = 11.0
    efficiency: float = 0.92
    stated_capacity: float | None = 510.0
    stop_heat_when_charging: bool = False


@dataclass(frozen=True)
class Morning:
    """What happens; s, degC, kW."""

    duration_s: float = 3600.0
    start_degC: float = -12.0
    outside_degC: float = -12.5
    plug_s: float = 60.0
    request_s: float = 90.0
    offer_kW: float = 9.6
    cabin_s: tuple[float, float] | None = None
    cabin_kW: float = 4.0
    pump_fails_s: float | None = None
    supply_out_s: tuple[float, float] | None = None
    gap_s: tuple[float, float] | None = None
    seed: int = 0
    steps: dict[str, float] = field(default_factory=dict)
    periods: dict[str, float] = field(default_factory=dict)
    leave_out: tuple[str, ...] = ()


#: Sensor steps and noise by the end of the path: (step, noise, period in s).
SENSORS = {
    "Temperature.Min": (0.5, 0.03, 1.0),
    "Temperature.Average": (0.5, 0.03, 1.0),
    "InletTemperature": (0.5, 0.1, 1.0),
    "OutletTemperature": (0.5, 0.1, 1.0),
    "Coolant.Flow": (0.1, 0.1, 1.0),
    "Rear.Temperature": (1.0, 0.3, 1.0),
    "Front.Temperature": (1.0, 0.3, 1.0),
    "StandstillHeat": (0.02, 0.02, 0.5),
    "Limits.ChargePower": (0.1, 0.0, 0.5),
    "Limits.RegenerationPower": (0.1, 0.0, 0.5),
    "CurrentCurrent": (0.1, 0.1, 0.5),
    "CurrentVoltage": (0.1, 0.1, 0.5),
    "ChargeCurrent.Phase1": (0.1, 0.05, 0.5),
    "ChargeVoltage.Phase1": (1.0, 0.3, 0.5),
    "Heater.Main.Power": (10.0, 5.0, 0.5),
    "HVAC.AmbientAirTemperature": (0.5, 0.0, 2.0),
    "Exterior.AirTemperature": (0.5, 0.0, 5.0),
}


#: What a run gives, by short names.
NAMES = [
    "coldest", "mean", "inlet", "outlet", "flow", "winding", "heat", "limit", "regen", "drawn",
    "pack", "volts", "cabin", "cabin_kW", "cable", "live", "wanted", "cabin_on",
]  # fmt: skip


def run(build: Build, plan: Morning) -> tuple[np.ndarray, dict[str, np.ndarray]]:
    """Run the morning: every quantity by a short name."""
    rng = np.random.default_rng(plan.seed)
    t = np.arange(0.0, plan.duration_s, DT)
    skin = np.full(GROUPS, plan.start_degC)
    core = skin.copy()
    winding = iron = plan.start_degC
    cabin = mass = plan.start_degC
    delay = max(1, int(build.loop_l / 2 / build.flow_l_per_min * 60 / DT))
    hot_line, cold_line = [plan.start_degC] * delay, [plan.start_degC] * delay
    each = build.pack_capacity / GROUPS
    rows, drawn, heat_kW, wander, done = [], 0.0, 0.0, 0.0, False
    for now in t:
        wander += -wander * DT / 400.0 + 0.04 * np.sqrt(2 * DT / 400.0) * rng.normal()
        cable = now >= plan.plug_s
        live = cable and now >= plan.plug_s + 2
        if plan.supply_out_s and plan.supply_out_s[0] <= now < plan.supply_out_s[1]:
            live = False
        wanted = now >= plan.request_s
        cabin_on = plan.cabin_s is not None and plan.cabin_s[0] <= now < plan.cabin_s[1]
        coldest = float(core.min())
        done = done or coldest >= build.heat_until
        spared = float(np.clip((build.spare_from_degC - winding) / 12.0, 0.0, 1.0))
        on = ((wanted and live) or cabin_on) and not done
        goal = build.units * build.unit_kW * spared if on else 0.0
        heat_kW += float(np.clip(goal - heat_kW, -1.0 * DT, 0.3 * DT))
        flow = build.flow_l_per_min if heat_kW > 0.05 or iron > coldest + 3.0 else 0.0
        if plan.pump_fails_s is not None and now >= plan.pump_fails_s:
            flow = 0.0
        carries = flow / 60.0 * 3.4
        thick = 0.75 + 0.25 * np.clip((hot_line[0] + 20.0) / 40.0, 0.0, 1.0)
        share = thick * (0.03 + 0.97 * (flow / build.flow_l_per_min) ** 0.6) * (1.0 + wander)
        coolant_in = cold_line.pop(0) if flow else cold_line[0]
        jacket = build.units * build.iron_to_coolant * share
        if flow:
            warmed = coolant_in + (iron - coolant_in) * (1.0 - np.exp(-jacket / carries))
            to_coolant = carries * (warmed - coolant_in)
            hot_line.append(warmed)
            inlet = hot_line.pop(0)
            fluid, into = inlet, np.zeros(GROUPS)
            for i in range(GROUPS):
                out = skin[i] + (fluid - skin[i]) * np.exp(
                    -build.plate_conductance * share / GROUPS / carries
                )
                into[i] = carries * (fluid - out)
                fluid = out
            cold_line.append(fluid)
        else:
            to_coolant, into, inlet, fluid = (
                0.003 * (iron - coolant_in),
                np.zeros(GROUPS),
                skin[0],
                skin[-1],
            )
        across = build.winding_to_iron * build.units * (winding - iron)
        winding += (heat_kW - across) * DT / (build.winding_capacity * build.units)
        lost = build.iron_loss * build.units * (iron - plan.outside_degC)
        iron += (across - to_coolant - lost) * DT / (build.iron_capacity * build.units)
        limit = _limit(build, coldest - build.charging_from) if wanted else 0.0
        regen = _limit(build, coldest - build.regeneration_from)
        cabin_kW = 0.0
        if cabin_on:
            cabin_kW = float(np.clip(plan.cabin_kW * (22.5 - cabin) / 3.0, 0.3, plan.cabin_kW))
        cabin += (
            (0.9 * cabin_kW - 0.09 * (cabin - plan.outside_degC) - 0.2 * (cabin - mass)) * DT / 60
        )
        mass += 0.2 * (cabin - mass) * DT / 110
        loads = heat_kW + cabin_kW + 0.3
        ceiling = min(plan.offer_kW, build.rated_kW) if live else 0.0
        aim = min(ceiling, (loads + limit) / build.efficiency)
        drawn += float(np.clip(aim - drawn, -50.0 * DT if not live else -2.0 * DT, 0.2 * DT))
        pack_kW = build.efficiency * drawn - loads
        volts = build.cells * 3.4
        joule = (pack_kW * 1e3 / volts) ** 2 * 0.08 / 1e3 / GROUPS
        through = (
            each * build.core_share * (1 - build.core_share) / build.core_lag_s * (skin - core)
        )
        loss = build.pack_loss / GROUPS * (skin - plan.outside_degC)
        loss[-1] += build.end_loss * (skin[-1] - plan.outside_degC)
        skin = skin + (into - through - loss + joule * (1 - build.core_share)) * DT / (
            each * (1 - build.core_share)
        )
        core = core + (through + joule * build.core_share) * DT / (each * build.core_share)
        mean = float(core.mean() * build.core_share + skin.mean() * (1 - build.core_share))
        rows.append((coldest, mean, inlet, fluid, flow, winding, heat_kW, limit, regen, drawn,
                     pack_kW, volts, cabin, cabin_kW, cable, live, wanted, cabin_on))  # fmt: skip
    return t, dict(zip(NAMES, np.array(rows, dtype=float).T, strict=True))


def _limit(build: Build, above: float) -> float:
    if above <= 0.0:
        return 0.0
    return min(above * build.slope_kW_per_K + build.bend_kW_per_K2 * above**2, 90.0)


def vehicle(build: Build, **changes: object) -> Vehicle:
    """Describe the car as its file would."""
    given = {
        "name": build.name,
        "pack": Pack(build.energy_kWh, build.cells, build.stated_capacity, chemistry="LFP"),
        "drive_units": DriveUnits(count=build.units, standstill_heat_kW=build.unit_kW),
        "limits": Limits(),
        "charger": Charger(rated_kW=build.rated_kW, efficiency=build.efficiency),
    }
    return Vehicle(**{**given, **changes})  # type: ignore[arg-type]  # keys and values are of the fields named


def _channel(path: str, t: np.ndarray, values: np.ndarray, plan: Morning, rng) -> Channel:
    name = find_signal(path)
    assert name is not None, path
    key = next((k for k in SENSORS if path.endswith(k)), "")
    step, spread, every = SENSORS.get(key, (0.0, 0.0, 1.0))
    step, every = plan.steps.get(key, step), plan.periods.get(key, every)
    at = np.arange(rng.uniform(0.0, every), float(t[-1]), every)
    i = np.searchsorted(t, at)
    seen = values[i] if name.is_state else np.interp(at, t, values) + rng.normal(0, spread, len(at))
    seen = np.round(seen / step) * step if step else seen
    if plan.gap_s:
        keep = (at <= plan.gap_s[0]) | (at >= plan.gap_s[1])
        at, seen = at[keep], seen[keep]
    gaps = (plan.gap_s,) if plan.gap_s else ()
    stale = stale_after(at, gaps, is_state=name.is_state)
    return Channel(path, name.unit, at, seen, name.is_state, resolution(seen), noise(seen),
                   period(at), stale)  # fmt: skip


def record(
    build: Build, plan: Morning, **changes: object
) -> tuple[Recording, dict[str, np.ndarray]]:
    """Record a morning with all its sensors, except those left out."""
    t, true = run(build, plan)
    rng = np.random.default_rng(plan.seed + 1000)
    volts = 208.0
    signals = {
        BATTERY + "Temperature.Min": true["coldest"],
        BATTERY + "Temperature.Average": true["mean"],
        BATTERY + "Coolant.InletTemperature": true["inlet"],
        BATTERY + "Coolant.OutletTemperature": true["outlet"],
        BATTERY + "Coolant.Flow": true["flow"],
        BATTERY + "CurrentCurrent": true["pack"] * 1e3 / true["volts"],
        BATTERY + "CurrentVoltage": true["volts"],
        BATTERY + "Limits.ChargePower": true["limit"],
        BATTERY + "Limits.RegenerationPower": true["regen"],
        CHARGING + "ChargeCurrent.Phase1": true["drawn"] * 1e3 / volts,
        CHARGING + "ChargeVoltage.Phase1": true["live"] * volts,
        CHARGING + "OfferedCurrent": true["cable"] * plan.offer_kW * 1e3 / volts,
        CHARGING + "OutputPower": true["drawn"] * build.efficiency,
        CHARGING + "IsRequested": true["wanted"],
        CHARGING + "ChargingPort.Rear.IsChargingCableConnected": true["cable"],
        "Cabin.HVAC.Heater.Main.Power": true["cabin_kW"] * 1e3,
        "Cabin.HVAC.IsConditioningRequested": true["cabin_on"],
        "Cabin.HVAC.AmbientAirTemperature": true["cabin"],
        "Exterior.AirTemperature": np.full(len(t), plan.outside_degC),
    }
    for unit in ("Rear", "Front")[: build.units]:
        motor = f"Powertrain.ElectricMotor.{unit}."
        signals[motor + "StandstillHeat"] = true["heat"] / build.units
        signals[motor + "Temperature"] = true["winding"]
    channels = {
        path: _channel(path, t, np.asarray(values, float), plan, rng)
        for path, values in signals.items()
        if not any(left in path for left in plan.leave_out)
    }
    gaps = (Gap(*plan.gap_s),) if plan.gap_s else ()
    name = f"{build.name.lower()}-{plan.seed}"
    return Recording(name, vehicle(build, **changes), 0.0, plan.duration_s, channels, gaps), true
