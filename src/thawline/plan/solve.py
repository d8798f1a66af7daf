"""Solve a plan: first in long steps, then in short ones near what the first found."""

from __future__ import annotations

import os
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.plan.clock import Clock, joined
from thawline.plan.linear import LinearMap, linear_map
from thawline.plan.margins import Margins, wish_chance
from thawline.plan.members import pack_now_degC
from thawline.plan.problem import Columns, Windows, write_problem
from thawline.plan.programme import Programme, runs
from thawline.plan.rows import Rows
from thawline.plan.settings import setting
from thawline.plan.trial import Bench

Array = NDArray[np.float64]
Bools = NDArray[np.bool_]
#: So many lengths of warming the cabin are offered beyond the shortest that does [1].
LONGER = 6
#: A part of a step that counts as heating [1].
SOME = 0.02
NO_LIMIT_PCT = 100.0
#: Number that the operating system gives standard output [1].
STANDARD_OUTPUT = 1


@dataclass(frozen=True, slots=True)
class Found:
    """A solution.

    Parameters
    ----------
    programme : Programme
        What to ask of the car.
    counts : float
        What it costs by the problem's own account [currency].
    bound : float
        No programme of the problem costs less [currency].
    seconds : float
        How long the solver took [s].
    """

    programme: Programme
    counts: float
    bound: float
    seconds: float


def offered_leads(bench: Bench) -> tuple[tuple[int, ...], ...]:
    """List the lengths of warming the cabin that are likely enough to do.

    Parameters
    ----------
    bench : Bench
        The sample.

    Returns
    -------
    tuple of tuple of int
        Per leaving time, in steps, the shortest first; the likeliest alone where none does.
    """
    found: list[tuple[int, ...]] = []
    for run in bench.cabins:
        chances = run.chance
        does = np.flatnonzero(chances >= wish_chance(bench))
        if not len(does):
            found.append((int(np.argmax(chances)),))
            continue
        first = int(does[0])
        found.append(tuple(int(i) for i in does if i <= first + LONGER) if first else (0,))
    return tuple(found)


@contextmanager
def _silenced() -> Iterator[None]:
    """Keep what the solver's library prints by itself off standard output."""
    sys.stdout.flush()
    try:
        kept = os.dup(STANDARD_OUTPUT)
    except OSError:  # there is none, as under some servers
        yield
        return
    nowhere = os.open(os.devnull, os.O_WRONLY)
    try:
        os.dup2(nowhere, STANDARD_OUTPUT)
        yield
    finally:
        os.dup2(kept, STANDARD_OUTPUT)
        os.close(kept)
        os.close(nowhere)


def run_solver(rows: Rows, gap: float, limit_s: float) -> tuple[Array | None, float, float]:
    """Run the solver.

    Parameters
    ----------
    rows : Rows
        The problem.
    gap : float
        Share of the cost by which it may miss the least [1].
    limit_s : float
        It is stopped after this [s].

    Returns
    -------
    ndarray of float64 or None
        Values of the variables; None without a solution [unit].
    float
        Their cost [currency].
    float
        What no solution can be cheaper than [currency].
    """
    from scipy.optimize import Bounds, LinearConstraint, milp  # heavy: only plans pay for it

    with _silenced():
        done = milp(
            np.array(rows.costs),
            constraints=LinearConstraint(rows.matrix, rows.row_low, rows.row_high),
            integrality=np.array(rows.whole),
            bounds=Bounds(np.array(rows.low), np.array(rows.high)),
            options={"mip_rel_gap": gap, "time_limit": limit_s},
        )
    if done.x is None:
        return None, np.inf, np.inf
    bound = getattr(done, "mip_dual_bound", None)
    return np.asarray(done.x), float(done.fun), float(done.fun if bound is None else bound)


def _limit_pct(bench: Bench, x: Array, columns: Columns) -> float:
    """Find where the car must stop charging: the wish, and what the pack gives later."""
    wish = bench.asked.wishes.charge_pct
    if wish is None:
        return NO_LIMIT_PCT
    kWh = np.cumsum(x[columns.into] - x[columns.out]) * bench.clock.hours
    later = max(float(kWh.max() - kWh[bench.clock.leaves[-1] - 1]), 0.0)
    extra = later / bench.car.vehicle.pack.usable_energy_kWh * NO_LIMIT_PCT
    return float(min(np.ceil(2.0 * (wish + extra) - 0.2) / 2.0, NO_LIMIT_PCT))


def _read(
    bench: Bench, x: Array, columns: Columns, leads: tuple[tuple[int, ...], ...]
) -> Programme:
    picked = tuple(
        each[int(np.argmax(x[which]))] for each, which in zip(leads, columns.leads, strict=True)
    )
    limit = _limit_pct(bench, x, columns)
    return Programme(_whole(x[columns.heat]), x[columns.charge] > 0.5, picked, limit)


def _whole(parts: Array) -> Bools:
    """Turn parts of steps into whole steps: as much in each run, at its end."""
    on = np.zeros(len(parts), dtype=np.bool_)
    for begin, end in runs(parts > SOME):
        count = int(np.ceil(float(parts[begin:end].sum()) - SOME))
        on[end - min(max(count, 1), end - begin) : end] = True
    return on


def _near(on: Bools, steps: int) -> Bools:
    if not on.any() or steps < 1:
        return on
    return np.asarray(np.convolve(on, np.ones(2 * steps + 1), mode="same")[: len(on)] > 0.5)


def _core(on: Bools, steps: int) -> Bools:
    return ~_near(~on, steps) if on.any() else on


def _first(
    bench: Bench, margins: Margins, leads: tuple[tuple[int, ...], ...]
) -> tuple[Windows, float] | None:
    """Search in long steps; heating and charging may fill a part of one."""
    clock = bench.clock
    times = int(np.ceil(len(clock.begins_s) / setting("coarse_steps")))
    times = max(times, 2)
    long = joined(clock, times)
    n = len(long.begins_s)
    ones, none = np.ones(n, dtype=np.bool_), np.zeros(n, dtype=np.bool_)
    short = tuple(each[:2] for each in leads)
    rows, columns = write_problem(
        bench, long, _line(bench, long), margins,
        Windows(ones, ones, none, none, short, is_fine=False),
    )  # fmt: skip
    x, _, bound = run_solver(rows, setting("gap"), setting("solver_s"))
    if x is None:
        return None
    skip = len(clock.begins_s) - n * times
    reach = int(setting("near_s") / clock.step_s)

    def spread(values: Array, above: float) -> Bools:
        return np.concatenate([np.zeros(skip, dtype=np.bool_), np.repeat(values > above, times)])

    heat, charge = x[columns.heat], x[columns.charge]
    return Windows(
        _near(spread(heat, SOME), reach),
        _near(spread(charge, SOME), reach),
        _core(spread(heat, 1.0 - SOME), reach),
        _core(spread(charge, 1.0 - SOME), reach),
        leads,
        is_fine=True,
    ), bound


def _line(bench: Bench, clock: Clock) -> LinearMap:
    return linear_map(bench.car, clock, pack_now_degC(bench.asked, clock))


def solve(
    bench: Bench, margins: Margins, near: Windows | None = None, *, whole: bool = False
) -> tuple[Found | None, Windows | None]:
    """Find the cheapest programme that keeps the margins.

    Parameters
    ----------
    bench : Bench
        Car, wishes, steps.
    margins : Margins
        What is kept in hand.
    near : Windows, optional
        Where to look, from an earlier solution of nearly the same problem.
    whole : bool
        Whether to look everywhere in short steps, however long that takes.

    Returns
    -------
    Found or None
        The programme; None if there is none.
    Windows or None
        Where it was looked for, for the next time.
    """
    began = time.perf_counter()
    clock, leads = bench.clock, offered_leads(bench)
    n = len(clock.begins_s)
    ones, none = np.ones(n, dtype=np.bool_), np.zeros(n, dtype=np.bool_)
    line, gap, bound = _line(bench, clock), setting("small_gap"), -np.inf
    windows = Windows(ones, ones, none, none, leads, is_fine=True, is_exact=True)
    if not whole and n > setting("small_steps"):
        gap = setting("gap")
        if near is None:
            coarse = _first(bench, margins, leads)
            if coarse is None:
                return None, None
            windows, bound = coarse
        else:
            windows = near
    rows, columns = write_problem(bench, clock, line, margins, windows)
    x, counts, least = run_solver(rows, gap, setting("solver_s"))
    if x is None:
        return None, windows
    if bound == -np.inf:
        bound = least
    found = Found(_read(bench, x, columns, leads), counts, bound, time.perf_counter() - began)
    return found, windows
