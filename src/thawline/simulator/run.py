"""Simulate a morning."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.simulator import loop
from thawline.simulator.accounts import accounts, charge_points
from thawline.simulator.broken import as_it_is, ring_of, sagging
from thawline.simulator.build import Build
from thawline.simulator.car import Happened, State, World, soaked
from thawline.simulator.car_step import step
from thawline.simulator.chance import sway
from thawline.simulator.morning import Morning, Truth
from thawline.simulator.observed import observe
from thawline.simulator.pack import cell_temperatures
from thawline.simulator.scenario import Scenario
from thawline.simulator.turning import turning_points

Array = NDArray[np.float64]
#: Length of a step unless asked otherwise [s].
STEP_S = 0.25
#: How far a supply's voltage sways, over itself [1]; how long it remembers [s].
VOLTS_SWAY, VOLTS_MEMORY_S, LOAD_MEMORY_S = 0.004, 90.0, 25.0
#: How far the air outside sways [K], and how long it remembers [s].
AIR_SWAY_K, AIR_MEMORY_S = 0.15, 600.0


def _worlds(scenario: Scenario, t: Array) -> list[World]:
    chance = [np.random.default_rng([scenario.seed, which]) for which in range(3)]
    volts = scenario.supply.volts if scenario.supply else 0.0
    volts_sway = volts * (1.0 + VOLTS_SWAY * sway(chance[0], t, VOLTS_MEMORY_S))
    volts_sway = volts_sway * sagging(scenario, t)
    load_sway = sway(chance[1], t, LOAD_MEMORY_S)
    ambient = scenario.ambient_degC + scenario.warming_K_per_h * t / 3600.0
    ambient = ambient + AIR_SWAY_K * sway(chance[2], t, AIR_MEMORY_S)
    edges = np.array([scenario.speed_km_per_h(at) for at in (*t, t[-1])]) / 3.6
    # mean speed times gain over a step is exactly what the car's motion gains
    speed, gain = 0.5 * (edges[1:] + edges[:-1]), np.diff(edges) / (t[1] - t[0])
    columns = (t, ambient, volts_sway, load_sway, speed, gain)
    return [World(*(float(value) for value in row)) for row in zip(*columns, strict=True)]


def simulate(build: Build, scenario: Scenario, step_s: float = STEP_S) -> Morning:
    """Simulate a morning.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    step_s : float
        Length of a step [s].

    Returns
    -------
    Morning
        The morning as it truly was.

    Raises
    ------
    RequestError
        If the coolant would flow through more than one of the loop's volumes in a step.
    """
    units = build.drive_units.positions
    rings = loop.ring(build.coolant, build.pack.modules, len(units))
    loop.check_step(rings, build.coolant, step_s)
    t = np.arange(0.0, scenario.duration_s, step_s)
    worlds = _worlds(scenario, t)
    states: list[State] = [soaked(build, scenario, rings)]
    happened: list[Happened] = []
    for world in worlds:
        car, morning = as_it_is(build, scenario, world.t_s)
        now = rings if car is build else ring_of(car)
        state, what = step(car, morning, now, states[-1], world, step_s)
        states.append(state)
        happened.append(what)
    values = observe(build, scenario, rings, worlds, states, happened)
    cells = np.array([cell_temperatures(state.pack) for state in states[:-1]])
    powers = _powers(states, happened)
    electrical, heat, more = accounts(build, rings, states[0], states[-1], powers, step_s)
    points = turning_points(build, scenario, t, values, powers)
    truth = Truth(electrical, heat, more, charge_points(values), points)
    return Morning(build, scenario, t, step_s, values, cells, powers, truth)


def _powers(states: list[State], happened: list[Happened]) -> dict[str, Array]:
    after = states[1:]
    taken = np.array([h.taken_W for h in happened])
    given = np.array([h.given_W for h in happened])
    return {
        "supply": taken,
        "ceiling": np.array([h.ceiling_W for h in happened]),
        "charger-output": given,
        "charger-loss": taken - given,
        "drive-unit-heating": np.array([float(s.units.heat_W.sum()) for s in after]),
        "pack-heater": np.array([s.heater_W for s in after]),
        "cabin-heating": np.array([sum(s.cabin.heaters_W) for s in after]),
        "low-voltage": np.array([h.low_voltage_W for h in happened]),
        "driving": np.array([h.traction_W for h in happened]),
        "driving-loss": np.array([h.driving_loss_W for h in happened]),
        "pack": np.array([h.electrical.current_A * h.electrical.volts for h in happened]),
        "cells": np.array([h.cell_W for h in happened]),
        "into-pack": np.array([h.into_pack_W for h in happened]),
        "plates": np.array([h.from_coolant_W for h in happened]),
        "pack-to-ambient": np.array([h.pack_lost_W for h in happened]),
        "elsewhere-to-ambient": np.array([h.elsewhere_lost_W for h in happened]),
    }
