"""Small changes of a programme: begin earlier or later, end earlier or later, warm for longer."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

import numpy as np

from thawline.plan.clock import Clock
from thawline.plan.programme import Bools, Programme, runs

#: Steps that something may begin earlier or end later at once [1].
STEPS = (1, 2, 4)
#: A charge limit is never raised above this [percent].
MOST_PCT = 100.0
#: It is lowered by this at once [percent].
LESS_PCT = 0.5
#: A stretch whose half is longer is halved at once [1].
LONG = 6
#: A last heating before leaving is so many steps long at first [1].
LAST = 4


def _moved(on: Bools, begin: int, end: int, to_begin: int, to_end: int) -> Bools | None:
    if not 0 <= to_begin < to_end <= len(on):
        return None
    after = on.copy()
    after[begin:end] = False
    after[to_begin:to_end] = True
    return None if np.array_equal(after, on) else after


def stronger(programme: Programme, clock: Clock, longest: tuple[int, ...]) -> Iterator[Programme]:
    """List changes that may make the car ready more surely.

    Parameters
    ----------
    programme : Programme
        What is asked of the car.
    clock : Clock
        The steps.
    longest : tuple of int
        Longest warming of the cabin before each leaving time, in steps [1].

    Yields
    ------
    Programme
        A changed one.
    """
    for i, lead in enumerate(programme.leads):
        if 0 < lead < longest[i]:
            more = min(lead + 2, longest[i])
            yield replace(programme, leads=_put(programme.leads, i, more))
    charging = runs(programme.charge)
    for more_pct in (1.0, 2.0):
        if charging and programme.limit_pct + more_pct <= MOST_PCT:
            yield replace(programme, limit_pct=programme.limit_pct + more_pct)
    if charging:
        first, last = charging[0], charging[-1]
        until = _moved(programme.charge, *last, last[0], clock.leaves[-1])
        if until is not None:
            yield replace(programme, charge=until)
        for steps in STEPS:
            earlier = _moved(programme.charge, *first, first[0] - steps, first[1])
            if earlier is None:
                continue
            yield replace(programme, charge=earlier)
            heat = [run for run in runs(programme.heat) if run[0] <= first[0]]
            if heat:
                sooner = _moved(programme.heat, *heat[-1], heat[-1][0] - steps, heat[-1][1])
                if sooner is not None:
                    yield replace(programme, charge=earlier, heat=sooner)
    for run in runs(programme.heat):
        for steps in STEPS:
            for to in ((run[0] - steps, run[1]), (run[0], run[1] + steps)):
                after = _moved(programme.heat, *run, *to)
                if after is not None:
                    yield replace(programme, heat=after)
    for leave in clock.leaves:
        after = programme.heat.copy()
        after[max(leave - LAST, 0) : leave] = True
        if not np.array_equal(after, programme.heat):
            yield replace(programme, heat=after)


def leaner(programme: Programme, least_pct: float) -> Iterator[Programme]:
    """List changes that may make it cheaper.

    Parameters
    ----------
    programme : Programme
        What is asked of the car.
    least_pct : float
        The charge limit is not lowered below this [percent].

    Yields
    ------
    Programme
        A changed one.
    """
    for run in runs(programme.heat):
        half, part = (run[1] - run[0]) // 2, (run[1] - run[0]) // 4
        ways = [(run[0] + half, run[1]), (run[0], run[1] - half), (run[0] + part, run[1])]
        ways += [(run[0] + 2, run[1]), (run[0] + 1, run[1]), (run[0] + 1, run[1] + 1)]
        ways += [(run[0], run[1] - 1), (run[0], run[1] - 2)]
        for to in ways if half > LONG else ways[3:]:
            after = _moved(programme.heat, *run, *to)
            if after is None and to[0] >= to[1]:
                after = programme.heat.copy()
                after[run[0] : run[1]] = False
            if after is not None:
                yield replace(programme, heat=after)
    for i, lead in enumerate(programme.leads):
        if lead > 1:
            yield replace(programme, leads=_put(programme.leads, i, lead - 1))
    charging = runs(programme.charge)
    for (_, end), (begin, _) in pairwise(charging):
        if begin - end <= LONG:  # rather one stretch than two
            joined = programme.charge.copy()
            joined[end:begin] = True
            yield replace(programme, charge=joined)
    if charging and programme.limit_pct - LESS_PCT >= least_pct:
        yield replace(programme, limit_pct=programme.limit_pct - LESS_PCT)
    for run in charging:
        if len(charging) > 1:
            without = programme.charge.copy()
            without[run[0] : run[1]] = False
            yield replace(programme, charge=without)
        half = (run[1] - run[0]) // 2
        ways = [(run[0] + half, run[1]), (run[0] + half // 2, run[1])] if half > LONG else []
        ways += [(run[0] + 2, run[1]), (run[0] + 1, run[1]), (run[0], run[1] - 2)]
        for to in ways:
            after = _moved(programme.charge, *run, *to)
            if after is not None:
                yield replace(programme, charge=after)


def _put(leads: tuple[int, ...], i: int, lead: int) -> tuple[int, ...]:
    return (*leads[:i], lead, *leads[i + 1 :])
