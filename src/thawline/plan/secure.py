"""Make a programme that is ready with the promised probability, at least cost.

The problem is solved with margins, its programme tried on the sample, the margins tightened
where the sample was not ready, and solved again. Then beginnings and ends are moved, first
until the sample is ready often enough, then as long as that saves money.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from thawline.plan.margins import Margins, aim, first_margins, tightened
from thawline.plan.moves import leaner, stronger
from thawline.plan.programme import Programme, runs
from thawline.plan.score import Bill, bill, met
from thawline.plan.settings import setting
from thawline.plan.solve import Found, offered_leads, solve
from thawline.plan.trial import Bench, Trial, try_out

Progress = Callable[[int, int], None]
#: A stretch less is worth this share of the cost [1].
SIMPLER = 0.001


@dataclass(frozen=True, slots=True)
class Tried:
    """A programme with what became of it.

    Parameters
    ----------
    programme : Programme
        What was asked of the car.
    trial : Trial
        What became of the sample.
    chance : float
        Probability that all wishes are met [1].
    partly : float
        Mean of the probabilities of the single wishes [1].
    bill : Bill
        What it takes.
    """

    programme: Programme
    trial: Trial
    chance: float
    partly: float
    bill: Bill


@dataclass(frozen=True, slots=True)
class Effort:
    """How much is tried.

    Parameters
    ----------
    rounds : int
        How often the problem is solved at most [1].
    moves : int
        How many moves are tried at most, each way [1].
    margins : Margins or None
        What to keep in hand at first; None: a guess.
    """

    rounds: int
    moves: int
    margins: Margins | None = None


@dataclass(frozen=True, slots=True)
class Secured:
    """The best that was found.

    Parameters
    ----------
    best : Tried
        The programme.
    is_ready : bool
        Whether it is ready as often as it must be.
    found : Found or None
        The solver's last solution; None if it had none.
    margins : Margins
        What it kept in hand.
    rounds : int
        How often the problem was solved [1].
    """

    best: Tried
    is_ready: bool
    found: Found | None
    margins: Margins
    rounds: int


def tried(bench: Bench, programme: Programme) -> Tried:
    """Try a programme on the sample.

    Parameters
    ----------
    bench : Bench
        The sample.
    programme : Programme
        What is asked of the car.

    Returns
    -------
    Tried
        What becomes of it.
    """
    trial = try_out(bench, programme)
    seen = met(bench, trial)
    single = [
        float(each.mean())
        for one in seen
        for each in (one.charge, one.regeneration, one.cabin, one.glass)
        if each is not None
    ]
    together = float(np.all([one.together for one in seen], axis=0).mean())
    return Tried(
        programme, trial, together, float(np.mean(single)) if single else 1.0, bill(bench, trial)
    )


def all_out(bench: Bench) -> Programme:
    """Ask for everything from the beginning: more cannot be asked.

    Parameters
    ----------
    bench : Bench
        The sample.

    Returns
    -------
    Programme
        Heating, charging, and the likeliest warming of the cabin.
    """
    n = len(bench.clock.begins_s)
    charges = bench.asked.wishes.charge_pct is not None
    leads = tuple(int(np.argmax(run.chance)) for run in bench.cabins)
    limit = min((bench.asked.wishes.charge_pct or 0.0) + setting("all_out_pct"), 100.0)
    return Programme(np.ones(n, dtype=np.bool_), np.full(n, charges), leads, limit)


def _better(one: Tried, other: Tried | None, goal: float) -> bool:
    """Ready beats not ready; of two that are, the cheaper; of two that are not, the likelier."""
    if other is None:
        return True
    ready, was = one.chance >= goal, other.chance >= goal
    if ready != was:
        return ready
    if ready:
        return one.bill.counts < other.bill.counts - 1e-9
    return (one.chance, one.partly) > (other.chance, other.partly)


@dataclass(frozen=True, slots=True)
class _Desk:
    """Tries programmes, each once."""

    bench: Bench
    done: dict[object, Tried]

    def look(self, programme: Programme) -> Tried:
        if programme.key not in self.done:
            self.done[programme.key] = tried(self.bench, programme)
        return self.done[programme.key]


def secure(
    bench: Bench,
    more: Sequence[Programme] = (),
    progress: Progress | None = None,
    effort: Effort | None = None,
) -> Secured:
    """Find the cheapest programme that is ready often enough on the sample.

    Parameters
    ----------
    bench : Bench
        The sample.
    more : sequence of Programme
        Others to consider: what is found is no dearer than any of them that is ready.
    progress : callable, optional
        Called with the rounds done and the rounds in all.
    effort : Effort, optional
        How much is tried; the usual if it is not given.

    Returns
    -------
    Secured
        What was found, ready or not.
    """
    effort = effort or Effort(int(setting("rounds")), int(setting("moves")))
    goal, desk = aim(bench), _Desk(bench, {})
    margins, near, found, count = effort.margins or first_margins(bench), None, None, 0
    best: Tried | None = None
    for count in range(1, effort.rounds + 1):
        if progress is not None:
            progress(count, effort.rounds + 2)
        now, near = solve(bench, margins, near)
        if now is None and near is not None:  # perhaps only not near the one before
            now, near = solve(bench, margins)
        if now is None:
            break
        found, seen = now, desk.look(now.programme)
        best = seen if _better(seen, best, goal) else best
        after = tightened(bench, margins, seen.trial)
        if seen.chance >= goal or after == margins:
            break
        margins = after
    for programme in (*more, *(() if best else (all_out(bench),))):
        seen = desk.look(programme)
        best = seen if _better(seen, best, goal) else best
    assert best is not None
    if progress is not None:
        progress(effort.rounds + 1, effort.rounds + 2)
    best = _mend(bench, best, goal, desk, effort.moves)
    if best.chance < bench.asked.chance:
        most = desk.look(all_out(bench))
        best = most if _better(most, best, goal) else best
    best = _trim(best, min(goal, best.chance), desk, effort.moves)
    return Secured(best, best.chance >= bench.asked.chance, found, margins, count)


def _mend(bench: Bench, best: Tried, goal: float, desk: _Desk, moves: int) -> Tried:
    """Move beginnings and ends until the sample is ready often enough."""
    longest, until = tuple(len(run.air) - 1 for run in bench.cabins), len(desk.done) + moves
    while best.chance < goal and len(desk.done) < until:
        after, most = best, 1e-6
        for way in stronger(best.programme, bench.clock, longest):
            seen = desk.look(way)
            gain = _worth(seen, best, goal)
            if gain > most:
                after, most = seen, gain
            if len(desk.done) >= until:
                break
        if after is best:
            break
        best = after
    return best


def _worth(one: Tried, now: Tried, goal: float) -> float:
    """Tell what a change gains in readiness for its money."""
    gain = min(one.chance, goal) - now.chance + 0.3 * (one.partly - now.partly)
    if gain <= 1e-9:
        return 0.0
    return gain / (0.01 * abs(now.bill.counts) + max(one.bill.counts - now.bill.counts, 0.0) + 1e-6)


def _trim(best: Tried, goal: float, desk: _Desk, moves: int) -> Tried:
    """Take back what costs more than it is worth."""
    until, changed = len(desk.done) + moves, True
    least_pct = desk.bench.asked.wishes.charge_pct or 0.0
    while changed and len(desk.done) < until:
        changed = False
        for way in leaner(best.programme, least_pct):
            seen = desk.look(way)
            if seen.chance >= goal and _saves(seen, best) > 1e-9:
                best, changed = seen, True
                break
            if len(desk.done) >= until:
                break
    return best


def _saves(one: Tried, now: Tried) -> float:
    """Tell what a change saves; a simpler programme is worth a little as well."""
    pieces = _pieces(now.programme) - _pieces(one.programme)
    return now.bill.counts - one.bill.counts + SIMPLER * abs(now.bill.counts) * pieces


def _pieces(programme: Programme) -> int:
    return len(runs(programme.heat)) + len(runs(programme.charge))


def shortest_leads(bench: Bench) -> tuple[int, ...]:
    """Give the shortest warming of the cabin that is likely enough, per leaving time.

    Parameters
    ----------
    bench : Bench
        The sample.

    Returns
    -------
    tuple of int
        Steps [1].
    """
    return tuple(each[0] for each in offered_leads(bench))
