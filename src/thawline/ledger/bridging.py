r"""Bridge times without data, and say how wrong the bridge may be.

A power is carried across a hole by the straight line between both sides. As for a Brownian
bridge, the mean over a hole of length d then has the variance :math:`S(d)/12`, where
:math:`S(d)` is the mean square of the change over a time d: the change across this hole, or
that over as long a time in the rest of the recording, whichever is larger. A hole at an end
is filled with its one side; the variance is then :math:`S(d)/3`. A power that never moved
may still have been off, or on, unseen: a bridge is never more certain than a share of its
level that grows with the hole, :math:`0.4\,(1 - e^{-d/900 s})`. Where it swings beside the
hole, as in a drive, its sides are draws of that swing, and their error is added.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: What may be known of a hole: nothing; that a straight line is wrong; that nothing went on.
PLAIN, DOUBTED, STOOD_STILL = 0, 1, 2
#: A bridge over a long hole is never more certain than this share of its level [1];
MOST_SHARE = 0.4
#: over short ones it grows with this time: loads and supplies switch so seldom [s].
SWITCHING_S = 900.0
#: A bridge that is doubted is no more certain than this share of its level [1].
DOUBTED_SHARE = 0.6
#: Where nothing went on, a power is taken as none, to this share of its level [1].
STILL_SHARE = 0.2
#: Nor is it more certain than this, for something may have gone on and off in it unseen [kW].
LEAST_KW = 0.02
#: How a power swings is read so long on either side of a hole [s].
BESIDE_S = 60.0
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


def _restless_kW(values: NDArray[np.float64], first: int, last: int, step_s: float) -> float:
    """Say how far a power that swings beside a hole, as in a drive, may be off its sides in it.

    The sides are as good as single draws of the swing; the mean over a short hole follows them.
    """
    beside = int(BESIDE_S / step_s)
    near = np.concatenate((values[max(0, first - beside) : first], values[last : last + beside]))
    known = near[~np.isnan(near)]
    if len(known) < 2:
        return 0.0
    follows = float(-np.expm1(-(last - first) * step_s / BESIDE_S))
    return float(np.std(known)) / float(np.sqrt(2.0)) * follows


def bridge(
    values: NDArray[np.float64],
    step_s: float = 1.0,
    known_of: NDArray[np.int8] | None = None,
) -> tuple[NDArray[np.float64], list[Hole]]:
    """Fill the holes of a power.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        A power on the clock; NaN where it is not known, somewhere known [kW].
    step_s : float
        Length of a tick [s].
    known_of : ndarray of int8, shape (n,), optional
        What is known of the holes, tick by tick [1].

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
        part = (np.arange(width) + 0.5) / width
        filled[first:last] = sides[0] + (sides[-1] - sides[0]) * part
        square = max((sides[-1] - sides[0]) ** 2, change_over(values, width))
        sigma = float(np.sqrt(square / (12.0 if len(sides) == 2 else 3.0)))
        sigma = float(np.hypot(sigma, _restless_kW(values, first, last, step_s)))
        share = MOST_SHARE * float(-np.expm1(-width * step_s / SWITCHING_S))
        kind = PLAIN if known_of is None else int(known_of[first:last].max())
        if kind == STOOD_STILL:
            filled[first:last], square, share = 0.0, 0.0, STILL_SHARE
        elif kind == DOUBTED:
            share = DOUBTED_SHARE
        least = share * float(np.mean(np.abs(sides)))
        found.append(Hole(first, last, max(sigma, least, LEAST_KW)))
    return filled, found
