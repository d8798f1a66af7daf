"""Sums on curves over seconds: changes, integrals, fits, each within stretches without gaps."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]
#: Fewest values by which a course is judged [1], and most that are levels: more where it
#: rests for this share of its seconds, and goes from one to the next by ramps [1].
#: From level to level it leaps by more than this share of its highest [1].
LEAPS = 0.06
FEWEST, MOST_LEVELS, MOST_LEVELS_STILL, MOSTLY_STILL = 60, 10, 30, 0.98


@dataclass(frozen=True, slots=True)
class Fit:
    """A straight fit of one curve by others.

    Parameters
    ----------
    factors : tuple of float
        Factor of each regressor [unit].
    explained : float
        Share of the variance that is explained; 0 where there is none [1].
    rest : float
        Standard deviation of what is left [unit].
    n : int
        Samples used [1].
    """

    factors: tuple[float, ...]
    explained: float
    rest: float
    n: int


def changes(x: Floats, lag: int, segment: Ints) -> Floats:
    """Give the change over some seconds.

    Parameters
    ----------
    x : ndarray of float64, shape (n,)
        Values [unit].
    lag : int
        Seconds between the two [s].
    segment : ndarray of int, shape (n,)
        Stretches; there is no change across a gap [1].

    Returns
    -------
    ndarray of float64, shape (n - lag,)
        Changes; NaN across gaps and where a value is missing [unit].
    """
    if len(x) <= lag:
        return np.empty(0)
    change = x[lag:] - x[:-lag]
    return np.where(segment[lag:] == segment[:-lag], change, np.nan)


def integral(x: Floats, segment: Ints) -> Floats:
    """Integrate over seconds, beginning anew in every stretch.

    Parameters
    ----------
    x : ndarray of float64, shape (n,)
        Values; missing ones count as 0 [unit].
    segment : ndarray of int, shape (n,)
        Stretches [1].

    Returns
    -------
    ndarray of float64, shape (n,)
        Integral up to the middle of each second [unit s].
    """
    filled = np.nan_to_num(x)
    total = np.cumsum(filled) - filled / 2.0
    begins = np.flatnonzero(np.diff(segment, prepend=segment[0] - 1 if len(segment) else 0))
    lengths = np.diff(np.append(begins, len(x)))
    before = (total - filled / 2.0)[begins] if len(begins) else total[:0]
    return total - np.repeat(before, lengths)


def smooth(x: Floats, width: int) -> Floats:
    """Average over a moving window; missing values are passed over.

    Parameters
    ----------
    x : ndarray of float64, shape (n,)
        Values [unit].
    width : int
        Length of the window, odd [s].

    Returns
    -------
    ndarray of float64, shape (n,)
        Averages; NaN where the window holds nothing [unit].
    """
    there = np.isfinite(x)
    half = width // 2
    sums = np.concatenate(([0.0], np.cumsum(np.where(there, x, 0.0))))
    counts = np.concatenate(([0], np.cumsum(there)))
    high = np.minimum(np.arange(len(x)) + half + 1, len(x))
    low = np.maximum(np.arange(len(x)) - half, 0)
    n = counts[high] - counts[low]
    return np.where(n > 0, (sums[high] - sums[low]) / np.maximum(n, 1), np.nan)


def keeps_to_levels(x: Floats, step: float) -> bool:
    """Tell whether a curve only ever takes a few values, as an offer does and no flow.

    Parameters
    ----------
    x : ndarray of float64, shape (n,)
        The curve [unit].
    step : float
        Smallest step of its sensor [unit].

    Returns
    -------
    bool
        True if it does, or has too few values to tell.
    """
    there = x[np.isfinite(x)]
    if len(there) < FEWEST:
        return True
    levels = len(np.unique(np.round(there / max(step, 1e-9))))
    change = np.abs(np.diff(there))
    moves = change > 0.25 * max(step, 1e-9)
    if not moves.any():
        return True
    leaps = float(np.median(change[moves])) > LEAPS * float(np.max(np.abs(there)))
    rests = float(np.mean(moves)) < 1.0 - MOSTLY_STILL
    return leaps and (levels <= MOST_LEVELS or (rests and levels <= MOST_LEVELS_STILL))


def fit(y: Floats, regressors: Sequence[Floats], segment: Ints | None = None) -> Fit:
    """Fit a curve by others and a constant for every stretch.

    Parameters
    ----------
    y : ndarray of float64, shape (n,)
        The curve [unit].
    regressors : sequence of ndarray of float64, each of shape (n,)
        The others [unit].
    segment : ndarray of int, shape (n,), optional
        Stretches, each with a constant of its own; None: no constant [1].

    Returns
    -------
    Fit
        Factors and what is left.
    """
    good = np.isfinite(y)
    for x in regressors:
        good &= np.isfinite(x)
    n = int(good.sum())
    nothing = Fit((0.0,) * len(regressors), 0.0, float("inf"), n)
    if n < 3 * (len(regressors) + 1):
        return nothing
    columns = [x[good] for x in regressors]
    target = y[good].copy()
    if segment is not None:
        _, number = np.unique(segment[good], return_inverse=True)
        counts = np.bincount(number).astype(np.float64)
        columns = [x - (np.bincount(number, x) / counts)[number] for x in columns]
        target -= (np.bincount(number, target) / counts)[number]
    matrix = np.column_stack(columns)
    scale = np.sqrt((matrix**2).sum(axis=0))
    if np.any(scale <= 0.0):
        return nothing
    factors, *_ = np.linalg.lstsq(matrix / scale, target, rcond=None)
    rest = target - (matrix / scale) @ factors
    whole, left = float((target**2).sum()), float((rest**2).sum())
    explained = 1.0 - left / whole if whole > 0.0 else 0.0
    return Fit(tuple((factors / scale).tolist()), explained, float(np.sqrt(left / n)), n)


def agreement(x: NDArray[np.bool_], y: NDArray[np.bool_]) -> float:
    """Correlate two on/off curves.

    Parameters
    ----------
    x, y : ndarray of bool, shape (n,)
        The curves [1].

    Returns
    -------
    float
        The phi coefficient: 1 if equal, 0 if unrelated or constant [1].
    """
    if x.all() or y.all() or not x.any() or not y.any():
        return 0.0
    return float(np.corrcoef(x, y)[0, 1])
