r"""Bridge times without data, and say how wrong the bridge may be.

A power is carried across a hole by the straight line between both sides. As for a Brownian
bridge, the mean over a hole of length d then has the variance :math:`S(d)/12`, where
:math:`S(d)` is the mean square of the change over a time d: the change across this hole, or
that over as long a time in the rest of the recording, whichever is larger. A hole at an end
is filled with its one side; the variance is then :math:`S(d)/3`. A power that never moved
may still have moved there: a bridge keeps a few per cent of its level as uncertainty.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: A bridge is never more certain than this share of its level [1].
LEAST_SHARE = 0.03
#: ... nor than this, for something may have gone on and off in it unseen [kW].
LEAST_KW = 0.02
#: A side is the mean of at most this many ticks [1].
SIDE_TICKS = 5


@dataclass(frozen=True, slots=True)
class Hole:
    """A time without data in one power.

    Parameters
    ----------
    first, last : int
        First tick in it, and first tick after it [1].
    sigma_kW : float
        Standard uncertainty of the mean over it [kW].
    """

    first: int
    last: int
    sigma_kW: float


def holes(known: NDArray[np.bool_]) -> list[tuple[int, int]]:
    """Find the runs of ticks that are not known.

    Parameters
    ----------
    known : ndarray of bool, shape (n,)
        Where the power is known.

    Returns
    -------
    list of tuple of int
        First tick of each run, and first tick after it.
    """
    steps = np.diff(np.concatenate(([0], (~known).astype(np.int8), [0])))
    return list(
        zip(np.flatnonzero(steps == 1).tolist(), np.flatnonzero(steps == -1).tolist(), strict=True)
    )


def change_over(values: NDArray[np.float64], ticks: int) -> float:
    """Find the mean square of the change over a time.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        A power on the clock; NaN where it is not known [kW].
    ticks : int
        The time [1].

    Returns
    -------
    float
        Mean square; twice the variance where the recording is too short to tell [kW2].
    """
    if ticks < len(values):
        squares = (values[ticks:] - values[:-ticks]) ** 2
        if np.count_nonzero(~np.isnan(squares)) >= max(10, ticks // 4):
            return float(np.nanmean(squares))
    return float(2.0 * np.nanvar(values))


def bridge(values: NDArray[np.float64]) -> tuple[NDArray[np.float64], list[Hole]]:
    """Fill the holes of a power.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        A power on the clock; NaN where it is not known, somewhere known [kW].

    Returns
    -------
    filled : ndarray of float64, shape (n,)
        The power without holes [kW].
    found : list of Hole
        The holes, with their uncertainties.
    """
    known = ~np.isnan(values)
    filled, found = values.copy(), []
    for first, last in holes(known):
        before = values[max(0, first - SIDE_TICKS) : first]
        after = values[last : last + SIDE_TICKS]
        sides = [float(np.nanmean(side)) for side in (before, after) if np.any(~np.isnan(side))]
        if not sides:
            continue
        width = last - first
        share = (np.arange(width) + 0.5) / width
        filled[first:last] = sides[0] + (sides[-1] - sides[0]) * share
        square = max((sides[-1] - sides[0]) ** 2, change_over(values, width))
        sigma = float(np.sqrt(square / (12.0 if len(sides) == 2 else 3.0)))
        least = LEAST_SHARE * float(np.mean(np.abs(sides)))
        found.append(Hole(first, last, max(sigma, least, LEAST_KW)))
    return filled, found
