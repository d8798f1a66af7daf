"""The small linear map against the lumps that it stands for."""

import numpy as np

from tests.plan.made import asked, sure_car
from thawline.forecast.ahead import target_weights
from thawline.plan.clock import joined, make_clock
from thawline.plan.linear import linear_map, middle_steps
from thawline.warmup.grid import INPUTS


def test_the_map_follows_the_lumps():
    """A day of heat switched at random warms the coldest cell alike, within 0.05 K."""
    car, clock = sure_car(), make_clock(asked(hours=24.0))
    line, steps = linear_map(car, clock, -9.0), middle_steps(car, clock.step_s)
    rng = np.random.default_rng(4)
    heat = 6.8 * (rng.random(len(clock.begins_s)) < 0.2)
    cells = 0.1 * (rng.random(len(clock.begins_s)) < 0.5)
    x = np.zeros(len(car.structure.states))
    x[: len(car.structure.lumps)] = -9.0
    full = [-9.0]
    for kW, cell, outside in zip(heat, cells, clock.outside, strict=True):
        u = np.zeros(len(INPUTS))
        u[INPUTS.index("drive")], u[INPUTS.index("cells")] = kW, cell
        u[INPUTS.index("outside")] = outside
        x = steps.F @ x + steps.G @ u
        full.append(float(target_weights(car.structure) @ x))
    assert np.max(np.abs(line.free + line.rise(heat, cells) - full)) < 0.05


def test_heat_warms_by_what_the_pack_holds():
    """5 kW net for an hour into 468.75 kJ/K: 38.4 K if nothing were lost or lagged.

    Handbook balance (5 kW over 468.75 kJ/K: 0.64 K/min); the pack here holds 510 kJ/K, and
    metal, coolant and air take their part, so it must be less, and not by half.
    """
    car, clock = sure_car(), make_clock(asked(hours=1.0))
    line = linear_map(car, clock, -9.0)
    ideal = 5.0 * 3600.0 / 510.0
    rise = line.rise(np.full(12, 5.0), np.zeros(12))[-1]
    assert 0.5 * ideal < rise < ideal


def test_joined_steps_keep_leaving_times_and_means():
    """Longer steps end where the last leaving time is, and keep mean prices."""
    clock = make_clock(asked(hours=5.0))
    long = joined(clock, 4)
    assert long.leaves == (len(long.begins_s),)
    assert long.begins_s[-1] + long.step_s == clock.begins_s[-1] + clock.step_s
    assert long.price.mean() == clock.price.mean()
