"""What a coarse thermometer tells: the moments at which its reading changes.

A thermometer that shows whole degrees says little while its reading stands still: its error
is the same from sample to sample, and averaging does not help. When the reading steps from
-7 to -6 degC, the temperature is -6.5 degC, to a few hundredths. So coarse readings are used
as edges, and between them as bounds.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise
from math import hypot

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.settings import setting

Array = NDArray[np.float64]
#: Resolutions that sensors on a bus have [K].
USUAL_STEPS = (1.0, 0.5, 0.25, 0.2, 0.125, 0.1, 0.0625, 0.05, 0.03125, 0.025, 0.02, 0.01)
#: Changes about one edge that are further apart are separate passages [s].
LONG_S = 60.0
#: Rounding spreads evenly over a step: its standard deviation is the step over this [1].
ROOT_12 = float(np.sqrt(12.0))


@dataclass(frozen=True, slots=True)
class Edge:
    """A moment at which a rounded temperature is known.

    Parameters
    ----------
    t_s : float
        When [s].
    degC : float
        The temperature [degC].
    sd_K : float
        Standard deviation [K].
    """

    t_s: float
    degC: float
    sd_K: float


def step_of(values: Array) -> float:
    """Find the step of a thermometer, doubtful cases decided for the coarser.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Readings [degC].

    Returns
    -------
    float
        The largest usual step, or the smallest difference seen, of which all differences of
        readings are multiples; for a single level, the largest of which it is one. 0 if none
        [K].
    """
    turns = np.concatenate([values[:1], values[1:][values[1:] != values[:-1]]])
    levels = np.unique(np.round(turns, 6))  # most readings repeat the one before
    gaps = np.diff(levels)
    if len(gaps):
        least = float(gaps.min())
        ratios = gaps / least
        if np.all(np.abs(ratios - np.round(ratios)) < 0.02 * np.maximum(ratios, 1.0)):
            finer = [q for q in USUAL_STEPS if q <= least + 1e-9]
            if len(gaps) >= 2 or not finer:
                return least
            return least if least <= USUAL_STEPS[0] else USUAL_STEPS[0]
    else:
        for q in USUAL_STEPS:
            if abs(levels[0] / q - round(levels[0] / q)) < 1e-6:
                return q
    return 0.0


def dithers(values: Array) -> bool:
    """Tell whether noise makes a coarse reading turn back all the time.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Readings [degC].

    Returns
    -------
    bool
        True if means over time are finer than the step.
    """
    if len(values) < 20:
        return False
    moves = np.sign(np.diff(values))
    turns = moves[moves != 0.0]
    back = int(np.sum(turns[1:] != turns[:-1]))
    return back / len(values) > setting("dither_share")


def edges(t: Array, values: Array, step_K: float) -> tuple[Edge, ...]:
    """Find the moments at which a coarse reading changes.

    A reading that goes to and fro about one edge counts as one passage, at the moment which
    leaves as much time above before as below after; if it ends where it began, the
    temperature came near the edge half way.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times of the samples [s].
    values : ndarray of float64, shape (n,)
        Readings [degC].
    step_K : float
        The thermometer's step [K].

    Returns
    -------
    tuple of Edge
        In order of time.
    """
    at = np.flatnonzero(np.diff(values) != 0.0)
    if not len(at):
        return ()
    cuts, middle, width, level, jump, upward = _changes(t, values, at, step_K)
    found: list[Edge] = []
    fine = setting("edge_share") * step_K
    for begin, end in pairwise(cuts):
        first, last = begin, end - 1
        spread = jump[first] / step_K
        wide = fine if spread < 1.5 else jump[first] / ROOT_12
        if (end - begin) % 2:
            back = sum(
                middle[i + 1] - middle[i] for i in range(first, last) if upward[i] != upward[first]
            )
            when, toggled = middle[first] + back, middle[last] - middle[first]
            found.append(_edge(found, when, level[first], wide, width[first], toggled))
        else:
            when = (middle[first] + middle[last]) / 2.0
            found.append(Edge(when, level[first], 3.0 * fine))
    return tuple(found)


def _changes(
    t: Array, values: Array, at: NDArray[np.intp], step_K: float
) -> tuple[list[int], list[float], list[float], list[float], list[float], list[bool]]:
    """Give where groups of changes about one edge begin, and when, how long, where and how far.

    Plain lists: the loop over them is short work then.
    """
    middle, width = (t[at] + t[at + 1]) / 2.0, t[at + 1] - t[at]
    level, jump = (values[at] + values[at + 1]) / 2.0, np.abs(values[at + 1] - values[at])
    upward = values[at + 1] > values[at]
    apart = (np.abs(np.diff(level)) > 0.01 * step_K) | (np.diff(middle) > LONG_S)
    cuts = [0, *(np.flatnonzero(apart) + 1).tolist(), len(at)]
    return cuts, middle.tolist(), width.tolist(), level.tolist(), jump.tolist(), upward.tolist()


def _edge(
    before: list[Edge], when: float, level: float, sd_K: float, width_s: float, toggled_s: float
) -> Edge:
    """Widen an edge by how far the temperature may move between samples and while it toggles."""
    rate = rate_before(before, when, level)
    unsure_s = hypot(width_s / ROOT_12, toggled_s / 4.0)
    return Edge(when, level, hypot(sd_K, rate * unsure_s))


def rate_before(before: list[Edge], when: float, level: float) -> float:
    """Tell how fast a temperature moved since the edge before.

    Parameters
    ----------
    before : list of Edge
        Earlier edges.
    when : float
        The moment [s].
    level : float
        The temperature then [degC].

    Returns
    -------
    float
        Its rate, without sign; 0 where nothing is known [K/s].
    """
    if not before or when - before[-1].t_s < 1.0:
        return 0.0
    return abs(level - before[-1].degC) / (when - before[-1].t_s)
