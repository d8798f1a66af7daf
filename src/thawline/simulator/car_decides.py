"""What the car's computers do with the power that there is: heat first, then the pack."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.simulator import charger, conditioning, current, units
from thawline.simulator.broken import unit_shares
from thawline.simulator.build import Build
from thawline.simulator.car import State, World
from thawline.simulator.conditioning import Mood, Sight
from thawline.simulator.scenario import Scenario

Array = NDArray[np.float64]
#: How fast a pump changes its speed [1/s].
PUMP_RAMP = 0.12


@dataclass(frozen=True, slots=True)
class Heating:
    """How the pack is heated during a step.

    Parameters
    ----------
    units_W : ndarray of float64, shape (units,)
        Heat of each drive unit [W].
    heater_W : float
        Power of the coolant's heater [W].
    mood : Mood
        What the car is about.
    target_degC : float
        What it heats to; -1e9 if to nothing [degC].
    """

    units_W: Array
    heater_W: float
    mood: Mood
    target_degC: float

    @property
    def whole_W(self) -> float:
        """All of it [W]."""
        return float(self.units_W.sum()) + self.heater_W


def heating(
    build: Build,
    scenario: Scenario,
    state: State,
    world: World,
    sight: Sight,
    before_W: float,
    dt_s: float,
) -> Heating:
    """Decide how the pack is heated: by what is asked for, the cold, and the supply.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    state : State
        The car.
    world : World
        What surrounds it.
    sight : Sight
        What the car decides by.
    before_W : float
        Loads that come before the heat [W].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    Heating
        The heat.
    """
    plan = build.conditioning
    mood, share, target = conditioning.decide(plan, state.mood, sight, dt_s)
    units_W = np.zeros(len(state.units.heat_W))
    left = unit_shares(scenario, build.drive_units.positions, world.t_s)
    if share > 0.0:
        units_W = share * units.possible_W(build.drive_units, state.units) * np.array(left)
    heater_W = share * build.coolant.heater_kW * 1e3 * min(left)
    if sight.is_live and sight.wants_charge and scenario.supply is not None:
        offered = scenario.offered_A(world.t_s)
        amps = charger.ceiling_A(build.charger, scenario.supply, offered, world.open_volts)
        given = charger.given_W(build.charger, scenario.supply, amps, world.open_volts)
        most = max(0.0, given - before_W + build.charger.short_W + plan.pack_help_kW * 1e3)
        whole = float(units_W.sum()) + heater_W
        if whole > most:
            units_W, heater_W = units_W * (most / whole), heater_W * (most / whole)
    rise = build.coolant.heater_ramp_kW_per_s * 1e3 * dt_s
    heater_W = state.heater_W + min(max(heater_W - state.heater_W, -rise), rise)
    ramped = units.ramped_W(build.drive_units, state.units, units_W, dt_s)
    return Heating(ramped, heater_W, mood, target)


@dataclass(frozen=True, slots=True)
class Charging:
    """What supply and charger do during a step.

    Parameters
    ----------
    charger : ChargerState
        Current and voltage.
    charge_W : float
        Charging power that the charger aims at [W].
    offered_A : float
        Current offered per phase [A].
    ceiling_W, taken_W, given_W : float
        Highest power, power taken, power behind the charger [W].
    """

    charger: charger.ChargerState
    charge_W: float = 0.0
    offered_A: float = 0.0
    ceiling_W: float = 0.0
    taken_W: float = 0.0
    given_W: float = 0.0


def charging(
    build: Build,
    scenario: Scenario,
    state: State,
    world: World,
    sight: Sight,
    allowed_kW: float,
    loads_W: float,
    dt_s: float,
) -> Charging:
    """Move supply and charger on: loads first, then the pack.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    state : State
        The car.
    world : World
        What surrounds it.
    sight : Sight
        What the car decides by.
    allowed_kW : float
        Charging power that the pack allows [kW].
    loads_W : float
        All loads [W].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    Charging
        What they do.
    """
    supply = scenario.supply
    if supply is None:
        return Charging(charger.ChargerState())
    full = state.pack.charge * 100.0 >= scenario.target_pct
    wanted = allowed_kW * 1e3 if sight.wants_charge and sight.is_live and not full else 0.0
    charge_W = min(wanted, state.charge_W + build.charger.charge_ramp_W_per_s * dt_s)
    aim = loads_W + charge_W if charge_W > 0.0 else max(loads_W - build.charger.short_W, 0.0)
    offered = scenario.offered_A(world.t_s)
    volts = world.open_volts
    if supply.is_direct:  # an outside charger follows the pack's voltage
        volts = current.electrical(build.pack, state.pack, charge_W).volts
    after = charger.step(
        build.charger, supply, state.charger, sight.is_live, offered, aim, volts, dt_s
    )
    if not sight.is_live:
        return Charging(after, charge_W)
    amps = charger.ceiling_A(build.charger, supply, offered, after.volts)
    return Charging(
        after,
        charge_W,
        offered,
        supply.phases * amps * after.volts,
        supply.phases * after.amps * after.volts,
        charger.given_W(build.charger, supply, after.amps, after.volts),
    )


def pump_speed(
    build: Build,
    scenario: Scenario,
    state: State,
    heat: Heating,
    charges: bool,
    drives: bool,
    t_s: float,
    dt_s: float,
) -> float:
    """Bring the pump towards the speed that the car wants of it.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    state : State
        The car.
    heat : Heating
        How the pack is heated.
    charges, drives : bool
        Whether it is charged, whether the car drives.
    t_s : float
        Since the morning's beginning [s].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    float
        Speed over full speed [1].
    """
    wanted = conditioning.pump_speed(
        build.conditioning, heat.mood, heat.whole_W > 0.0, charges, drives
    )
    wanted *= 1.0 - max(scenario.broken("weak-pump", t_s).values(), default=0.0)
    most = PUMP_RAMP * dt_s
    return state.pump + min(max(wanted - state.pump, -most), most)
