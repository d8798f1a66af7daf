"""The whole car at an instant, and what happens to it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.simulator import cabin, charger, loop, pack, units
from thawline.simulator.build import Build
from thawline.simulator.conditioning import Mood
from thawline.simulator.current import Electrical
from thawline.simulator.scenario import Scenario

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class State:
    """The car at an instant.

    Parameters
    ----------
    pack : PackState
        The pack.
    units : UnitsState
        The drive units.
    coolant : ndarray of float64
        Heat of each volume of coolant [J/m3].
    cabin : CabinState
        The cabin.
    charger : ChargerState
        Supply and charger.
    mood : Mood
        What the car is about.
    pump : float
        Speed of the pump over full speed [1].
    charge_W : float
        Charging power that the charger aims at [W].
    heater_W : float
        Power of the coolant's heater [W].
    """

    pack: pack.PackState
    units: units.UnitsState
    coolant: Array
    cabin: cabin.CabinState
    charger: charger.ChargerState
    mood: Mood
    pump: float = 0.0
    charge_W: float = 0.0
    heater_W: float = 0.0


@dataclass(frozen=True, slots=True)
class World:
    """What surrounds the car during a step.

    Parameters
    ----------
    t_s : float
        Since the morning's beginning [s].
    ambient_degC : float
        Air outside [degC].
    open_volts : float
        Voltage of a phase of the supply without load [V].
    load_sway : float
        Chance in the small loads [1].
    speed_m_per_s, gain_m_per_s2 : float
        Speed [m/s] and acceleration [m/s2].
    """

    t_s: float
    ambient_degC: float
    open_volts: float
    load_sway: float
    speed_m_per_s: float
    gain_m_per_s2: float


@dataclass(frozen=True, slots=True)
class Happened:
    """What happened during a step.

    Parameters
    ----------
    coldest, mean, warmest : float
        Cell temperatures [degC].
    charging_limit_kW, regeneration_limit_kW, discharge_limit_kW : float
        What the pack allows [kW].
    offered_A, ceiling_W, taken_W, given_W : float
        Of the supply: offer per phase [A], highest power, power taken, power behind the
        charger [W].
    flow : float
        Coolant through the pack [l/min].
    coolant_degC : ndarray of float64
        Coolant along the loop [degC].
    low_voltage_W, traction_W, shaft_W, driving_loss_W : float
        Small loads; driving, electrical and at the shafts; heat of driving [W].
    electrical : Electrical
        Current and voltage of the pack.
    pack_W : float
        Power into the pack [W].
    from_coolant_W, into_pack_W, cell_W, pack_lost_W, elsewhere_lost_W : float
        Heat through the plates, by the flow, made in cells, lost by the pack, lost by drive
        units and hoses [W].
    target_degC : float
        Target of conditioning; −1e9 if there is none [degC].
    set_point_degC : float
        Target of the cabin; NaN if there is none [degC].
    """

    coldest: float
    mean: float
    warmest: float
    charging_limit_kW: float
    regeneration_limit_kW: float
    discharge_limit_kW: float
    offered_A: float
    ceiling_W: float
    taken_W: float
    given_W: float
    flow: float
    coolant_degC: Array
    low_voltage_W: float
    traction_W: float
    shaft_W: float
    driving_loss_W: float
    electrical: Electrical
    pack_W: float
    from_coolant_W: float
    into_pack_W: float
    cell_W: float
    pack_lost_W: float
    elsewhere_lost_W: float
    target_degC: float
    set_point_degC: float


def soaked(build: Build, scenario: Scenario, rings: loop.Ring) -> State:
    """Give the car as the night left it.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    rings : Ring
        The coolant's volumes.

    Returns
    -------
    State
        The car.
    """
    soak, count = scenario.soak_degC, len(build.drive_units.positions)
    even = np.full(count, soak)
    return State(
        pack.rested(build.pack, soak, scenario.charge_pct / 100.0),
        units.UnitsState(even, even.copy(), np.zeros(count)),
        loop.heat_at(soak, rings),
        cabin.CabinState(soak, soak, soak, (0.0,) * len(build.cabin.heaters_W)),
        charger.ChargerState(),
        Mood(),
    )
