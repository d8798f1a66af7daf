"""Let a filter go on from where it stood, as far as what that rests on is still the same.

A recording grows, and what is known of its past can change: a story has hindsight, a coarse
reading that toggles was one passage after all, samples come late. So nothing is taken for granted:
what each step rests on (its length, inputs, flow, readings, bounds and noise) is kept beside the
states after it, and the filter goes on from the last step up to which all is equal, to the last
bit. What it gives then is what filtering anew gives.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.discretise import Steps
from thawline.warmup.grid import Grid
from thawline.warmup.kalman import Filtered, run_filter
from thawline.warmup.network import Readout
from thawline.warmup.sensing import Seen

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Task:
    """What a filter is to be run over.

    Parameters
    ----------
    model : hashable
        All that the steps and readouts follow from, but the parameter sets.
    z : ndarray of float64, shape (k, p)
        The parameter sets, as the fit works with them [1].
    make_steps : callable
        Makes steps for flow shares [1] of a length [s].
    grid : Grid
        Steps with their inputs.
    seen : tuple of Seen
        The thermometers.
    readouts : tuple of Readout
        How each reads the states.
    first : tuple of ndarray of float64
        Mean and covariance before the first step [degC, kW].
    noise_times : ndarray of float64, shape (n,), or None
        Factor on the noise of each step [1].
    """

    model: Hashable
    z: Array
    make_steps: Callable[[Array, float], Steps]
    grid: Grid
    seen: tuple[Seen, ...]
    readouts: tuple[Readout, ...]
    first: tuple[Array, Array]
    noise_times: Array | None = None


@dataclass(frozen=True, slots=True)
class Kept:
    """Where a filter stood after each step, and what that rests on.

    Parameters
    ----------
    model : hashable
        As the task has it.
    z : ndarray of float64, shape (k, p)
        The parameter sets [1].
    first : tuple of ndarray of float64
        Mean and covariance before the first step [degC, kW].
    rests_on : ndarray of float64, shape (n, r)
        What each step rests on [unit].
    after : tuple of tuple of ndarray of float64
        Mean, shape (k, s), and covariance, shape (k, s, s), after each step [degC, kW].
    filtered : Filtered
        The surprises so far.
    """

    model: Hashable
    z: Array
    first: tuple[Array, Array]
    rests_on: Array
    after: tuple[tuple[Array, Array], ...]
    filtered: Filtered


def rests_on(task: Task) -> Array:
    """Put what each step rests on into rows.

    Parameters
    ----------
    task : Task
        The task.

    Returns
    -------
    ndarray of float64, shape (n, r)
        Ends, lengths, flows, noise, inputs and readings [unit].
    """
    grid = task.grid
    noise = np.ones(len(grid.ends)) if task.noise_times is None else task.noise_times
    columns = [grid.ends, grid.lengths, grid.flows[grid.level], noise, *grid.inputs.T]
    for s in task.seen:
        columns += [s.degC, np.where(np.isfinite(s.degC), s.sd_K, 0.0), s.low, s.high]
    return np.stack(columns, axis=1)


def same_until(kept: Kept, task: Task, rows: Array) -> int:
    """Count the steps up to which a filter that stood there may go on.

    Parameters
    ----------
    kept : Kept
        Where it stood.
    task : Task
        What it is to be run over.
    rows : ndarray of float64, shape (n, r)
        What each of the task's steps rests on [unit].

    Returns
    -------
    int
        Steps that rest on the very same [1].
    """
    if kept.model != task.model or not np.array_equal(kept.z, task.z):
        return 0
    if not all(np.array_equal(a, b) for a, b in zip(kept.first, task.first, strict=True)):
        return 0
    count = min(len(rows), len(kept.rests_on))
    old, new = kept.rests_on[:count], rows[:count]
    same = ((old == new) | (np.isnan(old) & np.isnan(new))).all(axis=1)
    return count if same.all() else int(np.argmin(same))


def steps_for(task: Task, begin: int) -> tuple[Steps, NDArray[np.intp]]:
    """Make the steps that a run from some step on takes, the last perhaps shorter.

    Parameters
    ----------
    task : Task
        The task.
    begin : int
        The first step to be taken [1].

    Returns
    -------
    Steps
        F, G, Q with the leading shape (k, m).
    ndarray of intp, shape (n,)
        Which of the m each step takes; those before the first say nothing [1].
    """
    grid = task.grid
    last = grid.last_s if grid.last_s is not None and grid.last_s != grid.step_s else None
    whole = len(grid.ends) if last is None else len(grid.ends) - 1
    used, place = np.unique(grid.level[begin:whole], return_inverse=True)
    parts = [task.make_steps(grid.flows[used], grid.step_s)] if len(used) else []
    level = np.zeros(len(grid.ends), dtype=np.intp)
    level[begin:whole] = place
    if last is not None:
        parts.append(task.make_steps(grid.flows[grid.level[-1:]], last))
        level[-1] = len(used)
    F, G, Q = (
        np.concatenate(each, axis=1) for each in zip(*((p.F, p.G, p.Q) for p in parts), strict=True)
    )
    return Steps(F, G, Q), level


def run_anew(task: Task) -> Filtered:
    """Run a filter over all steps, and keep nothing.

    Parameters
    ----------
    task : Task
        What it is to be run over.

    Returns
    -------
    Filtered
        Surprises, and the states at the end.
    """
    steps, level = steps_for(task, 0)
    grid = replace(task.grid, level=level)
    return run_filter(steps, grid, task.seen, task.readouts, task.first, task.noise_times)


def run_task(task: Task, kept: Kept | None = None) -> tuple[Filtered, Kept]:
    """Run a filter, going on from where it stood if it can.

    Parameters
    ----------
    task : Task
        What it is to be run over.
    kept : Kept, optional
        Where an earlier run stood.

    Returns
    -------
    Filtered
        Surprises of all steps, and the states at the end.
    Kept
        Where it stands now.
    """
    rows = rests_on(task)
    # the last step is always taken, so that there is something to give
    begin = 0 if kept is None else min(same_until(kept, task, rows), len(rows) - 1)
    before = () if kept is None else kept.after[:begin]
    steps, level = steps_for(task, begin)
    after = list(before)
    found = run_filter(
        steps, replace(task.grid, level=level), task.seen, task.readouts,
        before[-1] if before else task.first, task.noise_times, begin, after,
    )  # fmt: skip
    if kept is not None and begin:
        found = _joined(kept.filtered, found, begin)
    return found, Kept(task.model, task.z, task.first, rows, tuple(after), found)


def _joined(old: Filtered, new: Filtered, begin: int) -> Filtered:
    """Put what was found before a step in front of what was found from it on."""
    j = int(np.searchsorted(old.step, begin))
    return Filtered(
        np.concatenate([old.surprise[:, :j], new.surprise], axis=1),
        np.concatenate([old.variance[:, :j], new.variance], axis=1),
        np.concatenate([old.step[:j], new.step]),
        np.concatenate([old.sensor[:j], new.sensor]),
        np.concatenate([old.is_bound[:j], new.is_bound]),
        new.mean,
        new.covariance,
    )
