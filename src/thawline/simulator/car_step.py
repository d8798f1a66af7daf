"""One step of the whole car."""

from __future__ import annotations

import numpy as np

from thawline.simulator import cabin, current, loop, pack, pack_heat, units
from thawline.simulator.build import Build
from thawline.simulator.car import Happened, State, World
from thawline.simulator.car_decides import charging, heating, pump_speed
from thawline.simulator.conditioning import Sight
from thawline.simulator.events import within
from thawline.simulator.loads import low_voltage_W
from thawline.simulator.road import Driving, driving
from thawline.simulator.scenario import Scenario

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
    coldest, warmest, mean = (
        float(cells.min()),
        float(cells.max()),
        float(cells[:-1].sum()) / build.pack.modules,
    )
    charge = state.pack.charge
    allowed = build.limits.charging_kW(coldest, charge)
    regeneration = build.limits.regeneration_kW(coldest, charge)
    cabin_wish, pack_wish = scenario.wish("cabin", t), scenario.wish("pack", t)
    sight = Sight(
        coldest,
        within(scenario.plugged_s, t) and not within(scenario.cuts_s, t),
        scenario.wish("charging", t) is not None,
        cabin_wish is not None,
        pack_wish is not None,
        scenario.drives(t),
        None if pack_wish is None else pack_wish.set_point_degC,
    )
    set_point = None
    if cabin_wish is not None:
        set_point = cabin_wish.set_point_degC or build.cabin.set_point_degC
    dead = scenario.broken("dead-heater", t)
    if gone := [f.where for f in scenario.faults if f.what == "dead-element" and f.acts(t)]:
        dead = {**dead, **dict.fromkeys(gone, 1.0 / build.cabin.elements)}
    heaters = cabin.heated_W(build.cabin, state.cabin, set_point, dead, dt_s)
    small = low_voltage_W(build.loads, state.pump, sight.wants_cabin, world.load_sway)
    discharge = build.limits.discharge_kW(coldest, charge)
    drive = Driving()
    if sight.drives:
        most = min(discharge * 1e3, current.most_W(build.pack, state.pack))
        pace = (world.speed_m_per_s, world.gain_m_per_s2)
        spare = most - small - sum(heaters)
        drive = driving(build.road, *pace, world.ambient_degC, regeneration, spare)
    before = small + sum(heaters) + drive.electrical_W
    heat = heating(build, scenario, state, world, sight, before, dt_s)
    loads = before + heat.whole_W
    fed = charging(build, scenario, state, world, sight, allowed, loads, dt_s)
    pack_W = fed.given_W - loads
    now = current.electrical(build.pack, state.pack, pack_W)
    speed = pump_speed(build, scenario, state, heat, pack_W > 0.0, sight.drives, t, dt_s)
    degC = loop.temperatures(state.coolant)
    flow = loop.flow_l_per_min(build.coolant, speed, float(degC.sum()) / len(degC))
    share = flow / build.coolant.warm_l_per_min
    plate = max(share, STILL) ** build.coolant.plate_exponent
    next_pack, pack_flux = pack_heat.step(
        build.pack, state.pack, now, degC[rings.pack], plate, world.ambient_degC, dt_s
    )
    next_units, unit_flux = units.step(
        build.drive_units,
        state.units,
        heat.units_W,
        drive.loss_W,
        degC[rings.jackets],
        STILL + (1.0 - STILL) * min(share, 1.0),
        world.ambient_degC,
        dt_s,
    )
    gained = np.zeros(len(degC))
    gained[rings.pack] = -pack_flux.from_coolant_W
    gained[rings.jackets] = unit_flux.to_coolant_W
    gained[rings.pack.start - 1] += heat.heater_W
    valve = max(scenario.broken("valve-open", t).values(), default=0.0)
    coolant, loop_flux = loop.step(
        rings, build.coolant, state.coolant, degC, flow, gained, valve, world.ambient_degC, dt_s
    )
    next_cabin = cabin.step(
        build.cabin, state.cabin, heaters, sight.wants_cabin, world.ambient_degC, dt_s
    )
    happened = Happened(
        coldest,
        mean,
        warmest,
        allowed,
        regeneration,
        discharge,
        fed.offered_A,
        fed.ceiling_W,
        fed.taken_W,
        fed.given_W,
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
        heat.target_degC,
        float("nan") if set_point is None else set_point,
    )
    after = State(
        next_pack,
        next_units,
        coolant,
        next_cabin,
        fed.charger,
        heat.mood,
        speed,
        fed.charge_W,
        heat.heater_W,
    )
    return after, happened
