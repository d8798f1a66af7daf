"""Let as many members of a sample stand, their heat not reaching the pack, as is likely."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.collapse import Collapse
from thawline.forecast.habits import Habits, pump_runs_from
from thawline.forecast.members import Members
from thawline.forecast.roots import square_root
from thawline.forecast.settings import setting
from thawline.warmup.structure import Structure

Array = NDArray[np.float64]


def with_standing(
    members: Members, collapse: Collapse, structure: Structure, rng: np.random.Generator
) -> tuple[Members, NDArray[np.bool_]]:
    """Put cars whose heat does not reach the pack in the place of some members.

    Parameters
    ----------
    members : Members
        The sample.
    collapse : Collapse
        How likely heat does not reach the pack, and how such a car stands.
    structure : Structure
        The model's lumps.
    rng : Generator
        Random numbers.

    Returns
    -------
    Members
        The sample with those cars in it.
    ndarray of bool, shape (k,)
        Which they are.
    """
    count, n, paths = members.states.shape
    stands = np.zeros(count, dtype=np.bool_)
    many = int(np.floor(collapse.chance * count + rng.uniform()))
    stands[rng.permutation(count)[:many]] = True
    places = (np.arange(many) + rng.uniform()) / max(many, 1)
    picked = np.searchsorted(np.cumsum(collapse.weights), places)
    picked = np.minimum(picked, len(collapse.weights) - 1)
    normal = rng.standard_normal((many, n, paths))
    drawn = collapse.mean[picked][:, :, None] + square_root(collapse.covariance[picked]) @ normal
    if not structure.hot:  # a bulk that is warmer in the model alone would go on warming the cell
        coldest = drawn[:, structure.states.index(structure.target[-1])]
        for lump in structure.lumps:
            drawn[:, structure.states.index(lump)] = coldest
    z, states = members.z.copy(), members.states.copy()
    z[stands], states[stands] = members.kept.z[collapse.which[picked]], drawn
    return replace(members, z=z, states=states), stands


def habits_standing(
    habits: Habits, stands: NDArray[np.bool_], now_s: float, rng: np.random.Generator
) -> Habits:
    """Let the coolant of some members stand for good, or for a while.

    Parameters
    ----------
    habits : Habits
        What each member will do.
    stands : ndarray of bool, shape (k,)
        Whose heat does not reach the pack.
    now_s : float
        The instant [s].
    rng : Generator
        Random numbers.

    Returns
    -------
    Habits
        The same, with pumps that stand.
    """
    runs = pump_runs_from(now_s, habits.pump_from_s.shape, rng)
    return replace(habits, pump_from_s=np.where(stands[:, None], runs, habits.pump_from_s))


def said_of(collapse: Collapse | None) -> tuple[str, ...]:
    """Say that heat does not reach the pack, and since when.

    Parameters
    ----------
    collapse : Collapse or None
        How likely it does not.

    Returns
    -------
    tuple of str
        One sentence, or none where it is unlikely.
    """
    if collapse is None or collapse.chance < setting("collapse_told"):
        return ()
    since = f"since about {collapse.since_s:.0f} s: the coolant seems to stand"
    if collapse.chance > setting("collapse_sure"):
        return (f"Heat no longer reaches the pack, {since}.",)
    return (f"With a chance of {collapse.chance:.0%} heat no longer reaches the pack, {since}.",)
