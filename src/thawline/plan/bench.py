"""Lay out all that trials of one request share."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.plan.asked import Asked
from thawline.plan.cabin_runs import CabinRuns, run_cabins
from thawline.plan.car import PlanCar
from thawline.plan.clock import Clock, make_clock
from thawline.plan.members import Members, draw_members
from thawline.plan.settings import setting
from thawline.plan.trial import Bench, ceiling_kW, make_bench


def lay_out(
    car: PlanCar, asked: Asked, *, step_s: float | None = None, members: int | None = None
) -> Bench:
    """Lay out the steps, the sample, and warming the cabin.

    Parameters
    ----------
    car : PlanCar
        The car.
    asked : Asked
        What is asked for.
    step_s : float, optional
        Length of a step; the usual one if it is not given [s].
    members : int, optional
        Cars in the sample; the usual number if it is not given [1].

    Returns
    -------
    Bench
        Ready for trials.
    """
    clock = make_clock(asked, step_s)
    drawn = draw_members(car, asked, clock, members)
    if not asked.pack_may_help:  # the cabin then has what the supply leaves
        most = np.maximum(drawn.efficiency * ceiling_kW(car, asked) - car.base_kW, 0.0)
        drawn = replace(drawn, cabin_kW=np.minimum(drawn.cabin_kW, most))
    return make_bench(car, asked, clock, drawn, _cabins(asked, clock, drawn))


def _cabins(asked: Asked, clock: Clock, members: Members) -> tuple[CabinRuns, ...]:
    """Choose the lowest set point that is about as sure as the highest."""
    goal = asked.chance + setting("aim_above")
    found: tuple[CabinRuns, ...] = ()
    for name in ("cabin_above_K", "cabin_above_more_K", "cabin_above_most_K"):
        found = tuple(run_cabins(asked, clock, members, setting(name)))
        if not asked.wishes.wants_cabin:
            break
        # other wishes may fail as well: the cabin must do better than all of them together
        if min(float(run.chance.max()) for run in found) >= (1.0 + goal) / 2.0:
            break
    return found
