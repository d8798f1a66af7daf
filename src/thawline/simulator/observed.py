"""What the car's computers could know, under the catalogue's names and in its units."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from functools import cache

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.build import Build
from thawline.simulator.car import Happened, State, World
from thawline.simulator.charger import duty_cycle_pct
from thawline.simulator.events import within
from thawline.simulator.loop import Ring
from thawline.simulator.low_voltage import low_volts
from thawline.simulator.scenario import Scenario
from thawline.simulator.tables import table

Array = NDArray[np.float64]
CHARGING = "Powertrain.TractionBattery.Charging."
MOTOR = "Powertrain.ElectricMotor."
#: Spread of cell voltages about their mean [V].
CELL_SPREAD_V = 0.006


@cache
def paths() -> dict[str, str]:
    """Read the catalogue paths of what every car could know.

    Returns
    -------
    dict of str to str
        Path by short name.
    """
    return {row["name"]: row["path"] for row in table("paths.csv")}


@cache
def state_paths() -> frozenset[str]:
    """Read which of them are states.

    Returns
    -------
    frozenset of str
        Paths.
    """
    return frozenset(row["path"] for row in table("paths.csv") if row["is_state"] == "1")


def cable_path(build: Build) -> str:
    """Name the state of the charging cable.

    Parameters
    ----------
    build : Build
        The vehicle.

    Returns
    -------
    str
        Catalogue path.
    """
    return f"{CHARGING}ChargingPort.{build.port}.IsChargingCableConnected"


def shaped(name: str) -> str:
    """Bring a name into the shape that a path's branch has.

    Parameters
    ----------
    name : str
        For instance of a heater.

    Returns
    -------
    str
        The same with a capital letter first.
    """
    return name[:1].upper() + name[1:]


def observe(
    build: Build,
    scenario: Scenario,
    rings: Ring,
    worlds: Sequence[World],
    states: Sequence[State],
    happened: Sequence[Happened],
) -> dict[str, Array]:
    """Gather what the car's computers could know.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    rings : Ring
        The coolant's volumes.
    worlds : sequence of World
        What surrounded the car, for each step.
    states : sequence of State
        The car before each step, and after the last.
    happened : sequence of Happened
        What happened during each.

    Returns
    -------
    dict of str to ndarray of float64
        Values by concrete catalogue path.
    """
    n = len(happened)
    befores, afters = states[:-1], states[1:]

    def each(values: Sequence[float]) -> Array:
        return np.asarray(values, dtype=np.float64)

    volts = each([h.electrical.volts for h in happened])
    amps = each([h.electrical.current_A for h in happened])
    soc = each([100.0 * s.pack.charge for s in befores])
    mean = each([h.mean for h in happened])
    hidden = each([build.display.hidden_pct(m) for m in mean])
    cell = volts / build.pack.cells_in_series
    ohm = np.array([h.electrical.module_ohm for h in happened])
    apart = (ohm - ohm.mean(axis=1, keepdims=True)) * build.pack.modules
    groups = amps[:, None] * apart / build.pack.cells_in_series
    groups, joint = _weak(scenario, happened, groups, amps)
    heats = np.array([s.units.heat_W for s in afters])
    heater = each([s.heater_W for s in afters])
    windings = np.array([s.units.winding for s in befores])
    plugged = each([float(within(scenario.plugged_s, w.t_s)) for w in worlds])
    offered = each([h.offered_A for h in happened])
    is_direct = scenario.supply is not None and scenario.supply.is_direct
    given, taken = each([h.given_W for h in happened]), each([h.taken_W for h in happened])
    shaft = each([h.shaft_W for h in happened])
    speed = each([w.speed_m_per_s for w in worlds]) * 3.6
    target = each([h.target_degC for h in happened])
    set_point = each([h.set_point_degC for h in happened])
    short = {
        "coldest": each([h.coldest for h in happened]),
        "warmest": each([h.warmest for h in happened]),
        "mean": mean,
        "physical": soc,
        "displayed": soc - hidden,
        "voltage": volts,
        "current": amps,
        "power": volts * amps,
        "cell_low": cell + np.minimum(groups.min(axis=1), joint) - CELL_SPREAD_V,
        "cell_high": cell + np.maximum(groups.max(axis=1), joint) + CELL_SPREAD_V,
        "charging_limit": each([h.charging_limit_kW for h in happened]),
        "regeneration_limit": each([h.regeneration_limit_kW for h in happened]),
        "discharge_limit": each([h.discharge_limit_kW for h in happened]),
        "inlet": each([h.coolant_degC[rings.pack.start - 1] for h in happened]),
        "outlet": each([h.coolant_degC[rings.pack.stop - 1] for h in happened]),
        "flow": each([h.flow for h in happened]),
        "unit_coolant": each([h.coolant_degC[rings.jackets.stop - 1] for h in happened]),
        "output": np.zeros(n) if is_direct else given / 1e3,
        "charger_loss": taken - given,
        "charging_wanted": each(
            [float(scenario.wish("charging", w.t_s) is not None) for w in worlds]
        ),
        "is_charging": ((given > 0.0) & (volts * amps > 0.0)).astype(np.float64),
        "charge_limit": np.full(n, scenario.target_pct),
        "pilot": each([duty_cycle_pct(a, is_direct) for a in offered]),
        "offered": offered,
        "conditioning": (target > -1e6).astype(np.float64),
        "conditioning_now": (heats.sum(axis=1) + heater > 0.0).astype(np.float64),
        "conditioning_target": np.where(target > -1e6, target, build.conditioning.target_degC),
        "pack_heater": heater,
        "low_voltage": each([h.low_voltage_W for h in happened]),
        "unit_heat": heats.sum(axis=1) / 1e3,
        "unit_winding": windings.max(axis=1),
        "unit_speed": speed * build.road.rpm_per_km_per_h,
        "unit_power": shaft / 1e3,
        "cabin_air": each([s.cabin.air for s in befores]),
        "cabin_wanted": np.isfinite(set_point).astype(np.float64),
        "cabin_target": np.where(np.isfinite(set_point), set_point, build.cabin.set_point_degC),
        "glass": each([s.cabin.glass for s in befores]),
        "outside": each([w.ambient_degC for w in worlds]),
        "low_battery": low_volts(build.loads, scenario, worlds, happened),
        "speed": speed,
    }
    found = {paths()[name]: values for name, values in short.items()}
    found[cable_path(build)] = plugged
    found |= _supply(scenario, states)
    for i, position in enumerate(build.drive_units.positions):
        share = 1.0 / len(build.drive_units.positions)
        found[f"{MOTOR}{position}.Temperature"] = windings[:, i]
        found[f"{MOTOR}{position}.StandstillHeat"] = heats[:, i] / 1e3
        found[f"{MOTOR}{position}.Speed"] = short["unit_speed"]
        found[f"{MOTOR}{position}.Power"] = shaft * share / 1e3
    heaters = np.array([s.cabin.heaters_W for s in afters])
    for i, name in enumerate(build.cabin.heaters_W):
        found[f"Cabin.HVAC.Heater.{shaped(name)}.Power"] = heaters[:, i]
    return found


def _weak(
    scenario: Scenario, happened: Sequence[Happened], groups: Array, amps: Array
) -> tuple[Array, Array]:
    """Add what a module of less charge, and a cell beside a bad joint, are off by [V]."""
    places = [int(f.where or 0) for f in scenario.faults if f.what.startswith("module-")]
    if not places:
        return groups, groups[:, 0]
    groups, weak = groups.copy(), places[0] % groups.shape[1]
    groups[:, weak] += [h.electrical.weak_V for h in happened]
    return groups, groups[:, weak] + amps * [h.electrical.joint_ohm for h in happened]


def _supply(scenario: Scenario, states: Sequence[State]) -> Mapping[str, Array]:
    """Give current and voltage of each phase, or of the outside charger."""
    if scenario.supply is None:
        nothing = np.zeros(len(states) - 1)
        return {CHARGING + f"Charge{what}.Phase1": nothing for what in ("Current", "Voltage")}
    after = [s.charger for s in states[1:]]
    amps, volts = np.array([c.amps for c in after]), np.array([c.volts for c in after])
    names = [f"Phase{i + 1}" for i in range(scenario.supply.phases)]
    if scenario.supply.is_direct:
        names = ["DC"]
    return {
        CHARGING + f"Charge{what}.{name}": values
        for name in names
        for what, values in (("Current", amps), ("Voltage", volts))
    }
