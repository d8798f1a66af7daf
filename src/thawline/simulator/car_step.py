"""One step of the whole car."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.simulator import cabin, charger, conditioning, current, loop, pack, pack_heat, units
from thawline.simulator.build import Build
from thawline.simulator.car import Happened, State, World
from thawline.simulator.conditioning import Mood, Sight
from thawline.simulator.events import within
from thawline.simulator.loads import low_voltage_W
from thawline.simulator.road import driving
from thawline.simulator.scenario import Scenario

Array = NDArray[np.float64]
#: How fast a pump changes its speed [1/s].
PUMP_RAMP = 0.12
#: How well a jacket and a plate pass heat when nothing flows, against full flow [1].
STILL = 0.12


def step(
    build: Build, scenario: Scenario, rings: loop.Ring, state: State, world: World, dt_s: float
) -> tuple[State, Happened]:
    """Move the car on by one step.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    rings : Ring
        The coolant's volumes.
    state : State
        The car.
    world : World
        What surrounds it.
    dt_s : float
        Length of the step [s].

    Returns
    -------
    State
        The car after the step.
    Happened
        What happened.
    """
    t = world.t_s
    cells = pack.cell_temperatures(state.pack)
    coldest, warmest, mean = float(cells.min()), float(cells.max()), float(cells[:-1].mean())
    charge = state.pack.charge
    allowed = build.limits.charging_kW(coldest, charge)
    regeneration = build.limits.regeneration_kW(coldest, charge)
    drive = driving(
        build.road, world.speed_m_per_s, world.gain_m_per_s2, world.ambient_degC, regeneration
    )
    drives = world.speed_m_per_s > 0.0
    is_live = within(scenario.plugged_s, t) and not within(scenario.lost_s, t)
    wants_charge = scenario.wish("charging", t) is not None
    cabin_wish = scenario.wish("cabin", t)
    set_point = None
    if cabin_wish is not None:
        set_point = cabin_wish.set_point_degC or build.cabin.set_point_degC
    heaters = cabin.heated_W(
        build.cabin, state.cabin, set_point, scenario.broken("dead-heater", t), dt_s
    )
    small = low_voltage_W(build.loads, state.pump, cabin_wish is not None, world.load_sway)
    before = small + sum(heaters) + drive.electrical_W

    heat, mood, target = _heat(
        build,
        scenario,
        state,
        (coldest, is_live, wants_charge, cabin_wish is not None, drives),
        (t, before, world.open_volts),
        dt_s,
    )
    loads = before + float(heat.sum())
    after_charger, charge_W, ceiling = _charged(
        build, scenario, state, world, (is_live, wants_charge, allowed), loads, dt_s
    )
    offered = scenario.offered_A(t) if is_live else 0.0
    taken = given = 0.0
    if scenario.supply is not None:
        taken = scenario.supply.phases * after_charger.amps * after_charger.volts
        given = charger.given_W(
            build.charger, scenario.supply, after_charger.amps, after_charger.volts
        )
    pack_W = given - loads
    now = current.electrical(build.pack, state.pack, pack_W)

    speed = _pump(build, scenario, state, mood, (heat.sum() > 0.0, given > loads, drives), t, dt_s)
    degC = loop.temperatures(state.coolant)
    flow = loop.flow_l_per_min(build.coolant, speed, float(degC.mean()))
    share = flow / build.coolant.warm_l_per_min
    plate = max(share, STILL) ** build.coolant.plate_exponent
    next_pack, pack_flux = pack_heat.step(
        build.pack, state.pack, now, degC[rings.pack], plate, world.ambient_degC, dt_s
    )
    next_units, unit_flux = units.step(
        build.drive_units,
        state.units,
        heat,
        drive.loss_W,
        degC[rings.jackets],
        STILL + (1.0 - STILL) * min(share, 1.0),
        world.ambient_degC,
        dt_s,
    )
    gained = np.zeros(len(degC))
    gained[rings.pack] = -pack_flux.from_coolant_W
    gained[rings.jackets] = unit_flux.to_coolant_W
    valve = max(scenario.broken("valve-open", t).values(), default=0.0)
    coolant, loop_flux = loop.step(
        rings, build.coolant, state.coolant, degC, flow, gained, valve, world.ambient_degC, dt_s
    )
    next_cabin = cabin.step(
        build.cabin, state.cabin, heaters, cabin_wish is not None, world.ambient_degC, dt_s
    )
    happened = Happened(
        coldest,
        mean,
        warmest,
        allowed,
        regeneration,
        build.limits.discharge_kW(coldest, charge),
        offered,
        ceiling,
        taken,
        given,
        flow,
        degC,
        small,
        drive.electrical_W,
        drive.mechanical_W,
        drive.loss_W,
        now,
        pack_W,
        float(pack_flux.from_coolant_W.sum()),
        loop_flux.into_pack_W,
        pack_flux.resistance_W,
        pack_flux.ambient_W,
        unit_flux.ambient_W + loop_flux.ambient_W,
        target,
        float("nan") if set_point is None else set_point,
    )
    return State(
        next_pack, next_units, coolant, next_cabin, after_charger, mood, speed, charge_W
    ), happened


def _heat(
    build: Build,
    scenario: Scenario,
    state: State,
    seen: tuple[float, bool, bool, bool, bool],
    power: tuple[float, float, float],
    dt_s: float,
) -> tuple[Array, Mood, float]:
    """Decide the drive units' heat: by what is asked for, the cold, the supply."""
    coldest, is_live, wants_charge, wants_cabin, drives = seen
    t, before, volts = power
    spare = float("inf")
    if is_live and scenario.supply is not None:
        most = charger.ceiling_A(build.charger, scenario.supply, scenario.offered_A(t), volts)
        spare = charger.given_W(build.charger, scenario.supply, most, volts) - before
    wants_pack = scenario.wish("pack", t) is not None
    sight = Sight(coldest, is_live, wants_charge, wants_cabin, wants_pack, drives, spare)
    mood, share, target = conditioning.decide(build.conditioning, state.mood, sight, dt_s)
    wanted = share * units.possible_W(build.drive_units, state.units)
    most_W = max(0.0, spare + build.conditioning.pack_help_kW * 1e3)
    whole = float(wanted.sum())
    if whole > most_W:
        wanted = wanted * (most_W / whole)
    return units.ramped_W(build.drive_units, state.units, wanted, dt_s), mood, target


def _charged(
    build: Build,
    scenario: Scenario,
    state: State,
    world: World,
    seen: tuple[bool, bool, float],
    loads: float,
    dt_s: float,
) -> tuple[charger.ChargerState, float, float]:
    """Move the charger on: loads first, then the pack."""
    if scenario.supply is None:
        return charger.ChargerState(), 0.0, 0.0
    is_live, wants_charge, allowed_kW = seen
    full = state.pack.charge * 100.0 >= scenario.target_pct
    wanted = allowed_kW * 1e3 if wants_charge and is_live and not full else 0.0
    rise = build.charger.charge_ramp_W_per_s * dt_s
    charge_W = min(wanted, state.charge_W + rise)
    aim = loads + charge_W if charge_W > 0.0 else max(loads - build.charger.short_W, 0.0)
    offered = scenario.offered_A(world.t_s)
    volts = world.open_volts
    if scenario.supply.is_direct:  # an outside charger follows the pack's voltage
        volts = current.electrical(build.pack, state.pack, charge_W).volts
    after = charger.step(
        build.charger, scenario.supply, state.charger, is_live, offered, aim, volts, dt_s
    )
    amps = charger.ceiling_A(build.charger, scenario.supply, offered, after.volts)
    ceiling = scenario.supply.phases * amps * after.volts if is_live else 0.0
    return after, charge_W, ceiling


def _pump(
    build: Build,
    scenario: Scenario,
    state: State,
    mood: Mood,
    goes_on: tuple[bool, bool, bool],
    t_s: float,
    dt_s: float,
) -> float:
    """Bring the pump towards the speed that the car wants of it."""
    wanted = conditioning.pump_speed(build.conditioning, mood, *goes_on)
    weak = max(scenario.broken("weak-pump", t_s).values(), default=0.0)
    wanted *= 1.0 - weak
    most = PUMP_RAMP * dt_s
    return state.pump + min(max(wanted - state.pump, -most), most)
