"""Other ways of leaving, to stand beside the plan."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.plan.asked import Asked
from thawline.plan.bench import lay_out
from thawline.plan.by_time import constant
from thawline.plan.options import option_of
from thawline.plan.plan import Option
from thawline.plan.programme import Programme
from thawline.plan.road import Roads
from thawline.plan.secure import Tried, shortest_leads, tried
from thawline.plan.settings import setting
from thawline.plan.trial import Bench

#: Minutes of warming before leaving [min].
MINUTES = (10, 20, 30)


def simple_programmes(bench: Bench) -> dict[str, tuple[str, Programme]]:
    """List the simple ways of leaving.

    Parameters
    ----------
    bench : Bench
        The sample.

    Returns
    -------
    dict of str to tuple of str and Programme
        Name and programme, by key.
    """
    n, leaves = len(bench.clock.begins_s), bench.clock.leaves
    off = np.zeros(n, dtype=np.bool_)
    none = (0,) * len(leaves)
    step_min = bench.clock.step_s / 60.0
    found = {"leave-cold": ("leave cold", Programme(off, off, none))}
    for minutes in MINUTES:
        steps = max(1, round(minutes / step_min))
        heat, leads = off.copy(), []
        for i, leave in enumerate(leaves):
            heat[max(leave - steps, 0) : leave] = True
            longest = len(bench.cabins[i].air) - 1
            leads.append(min(steps, longest))
        name = f"warm for {minutes} min"
        found[f"warm-{minutes}"] = (name, Programme(heat, off, tuple(leads)))
    if bench.asked.wishes.charge_pct is not None:
        found["charge-to-the-end"] = ("charge to the end", _to_the_end(bench))
    if bench.asked.wishes.wants_cabin:
        found["cabin-only"] = ("cabin only", Programme(off, off, shortest_leads(bench)))
    return found


def _to_the_end(bench: Bench) -> Programme:
    """Ask for charging so late that it ends when leaving; its own heat warms the cells."""
    n, leave = len(bench.clock.begins_s), bench.clock.leaves[-1]
    off = np.zeros(n, dtype=np.bool_)
    leads = shortest_leads(bench)

    wish = bench.asked.wishes.charge_pct or 0.0

    def charged(steps: int) -> Tried:
        on = off.copy()
        on[max(leave - steps, 0) : leave] = True
        return tried(bench, Programme(off, on, leads, wish))

    low, high = 1, leave
    while low < high:  # the latest beginning that lets half of the sample finish
        middle = (low + high) // 2
        end = charged(middle).trial.charge_pct[leave]
        if float(np.median(end)) >= wish - setting("reached_pct"):
            high = middle
        else:
            low = middle + 1
    return charged(high).programme


def alternatives(bench: Bench, roads: Roads | None) -> tuple[Option, ...]:
    """Try the other ways of leaving.

    Parameters
    ----------
    bench : Bench
        The sample.
    roads : Roads or None
        The first trip; None without one.

    Returns
    -------
    tuple of Option
        Side by side.
    """
    found = []
    for key, (name, programme) in simple_programmes(bench).items():
        seen = tried(bench, programme)
        road = None if roads is None else roads.after(bench, seen)
        found.append(option_of(bench, seen, key, name, road))
    return tuple(found)


def garaged(asked: Asked, degC: float) -> Asked:
    """Ask for the same in a garage.

    Parameters
    ----------
    asked : Asked
        What is asked for.
    degC : float
        Its air [degC].

    Returns
    -------
    Asked
        The same, with the car soaked in that air.
    """
    return replace(asked, outside=constant(degC, "a garage"), pack_degC=None)


def garage_bench(bench: Bench, degC: float) -> Bench:
    """Lay out the same request in a garage.

    Parameters
    ----------
    bench : Bench
        The sample outdoors.
    degC : float
        Air of the garage [degC].

    Returns
    -------
    Bench
        The sample indoors.
    """
    return lay_out(
        bench.car, garaged(bench.asked, degC), step_s=bench.clock.step_s,
        members=bench.members.count,
    )  # fmt: skip
