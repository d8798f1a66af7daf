"""Curves that never fall (or never rise) through scattered points, with their uncertainty.

References
----------
.. [1] R. E. Barlow, D. J. Bartholomew, J. M. Bremner, H. D. Brunk, "Statistical Inference
   under Order Restrictions", Wiley 1972: pooling adjacent violators (from memory).
.. [2] B. Efron, R. J. Tibshirani, "An Introduction to the Bootstrap", Chapman and Hall 1993
   (from memory).
"""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from thawline.charge.settings import setting

Array = NDArray[np.float64]


def binned(
    x: Array, y: Array, width: float, least: int, quantile: float | None = None
) -> tuple[Array, Array, Array]:
    """Gather points into bins.

    Parameters
    ----------
    x, y : ndarray of float64, shape (n,)
        The points [unit].
    width : float
        Width of a bin [unit].
    least : int
        Points that a bin needs [1].
    quantile : float, optional
        This quantile of each bin instead of its mean [1].

    Returns
    -------
    x, y, weight : ndarray of float64, shape (m,)
        Mean x, mean or quantile of y, and count, of each bin that has enough.
    """
    if not len(x):
        return np.zeros(0), np.zeros(0), np.zeros(0)
    which = np.floor(x / width).astype(np.int64)
    order = np.argsort(which, kind="stable")
    first = np.flatnonzero(np.diff(which[order], prepend=which[order[0]] - 1))
    count = np.diff(np.append(first, len(order)))
    middle = np.add.reduceat(x[order], first) / count
    if quantile is None:
        level = np.add.reduceat(y[order], first) / count
    else:
        parts = np.split(y[order], first[1:])
        level = np.array([float(np.quantile(part, quantile)) for part in parts])
    kept = count >= least
    return middle[kept], level[kept], count[kept].astype(np.float64)


def never_falling(y: Array, weight: Array, *, rising: bool = True) -> Array:
    """Fit the nearest sequence that never falls, by weighted least squares [1]_ (in this file).

    Parameters
    ----------
    y, weight : ndarray of float64, shape (n,)
        Values in order and their weights [unit], [1].
    rising : bool
        False: the nearest that never rises.

    Returns
    -------
    ndarray of float64, shape (n,)
        The sequence [unit].
    """
    from scipy.optimize import isotonic_regression  # loads slowly: only where something is learned

    if len(y) < 2:
        return y
    found = isotonic_regression(y, weights=weight, increasing=rising)
    return np.asarray(found.x, dtype=np.float64)


def blocks_of(recording: NDArray[np.int64], every_s: float) -> NDArray[np.int64]:
    """Tell which samples belong together in blocks.

    Parameters
    ----------
    recording : ndarray of int64, shape (n,)
        Which recording each sample comes from, in order [1].
    every_s : float
        Time between samples [s].

    Returns
    -------
    ndarray of int64, shape (n,)
        Number of each sample's block [1].
    """
    size = max(1, round(setting("block_s") / every_s))
    inside = np.arange(len(recording))
    starts = np.flatnonzero(np.diff(recording, prepend=-1))
    inside = inside - np.repeat(inside[starts], np.diff(np.append(starts, len(recording))))
    return np.asarray(np.cumsum((inside % size) == 0) - 1, dtype=np.int64)


def interval(
    recording: NDArray[np.int64],
    every_s: float,
    fit: Callable[[NDArray[np.int64]], Array],
    fallback: Array,
) -> tuple[Array, Array]:
    """Draw recordings, and blocks within them, and fit again: an interval of 90 % [2]_.

    Parameters
    ----------
    recording : ndarray of int64, shape (n,)
        Which recording each sample comes from, in order [1].
    every_s : float
        Time between samples [s].
    fit : callable
        Gives the curve for the numbers of the samples drawn; NaN where it tells nothing.
    fallback : ndarray of float64, shape (m,)
        The curve of all samples, for places that draws say too little of [unit].

    Returns
    -------
    low, high : ndarray of float64, shape (m,)
        Ends of the interval, the curve itself always in it [unit].
    """
    rng = np.random.default_rng(len(recording))
    blocks = blocks_of(recording, every_s)
    starts = np.flatnonzero(np.diff(blocks, prepend=-1))
    ends = np.append(starts[1:], len(blocks))
    of_block = recording[starts]
    names = np.unique(of_block)
    drawn = []
    for _ in range(int(setting("draws"))):
        chosen: list[NDArray[np.int64]] = []
        for name in rng.choice(names, len(names)):
            own = np.flatnonzero(of_block == name)
            drawn_blocks = rng.choice(own, len(own))
            chosen.extend(np.arange(starts[block], ends[block]) for block in drawn_blocks)
        drawn.append(fit(np.concatenate(chosen)))
    table = np.stack(drawn)
    table = np.where(np.isnan(table), fallback, table)
    low, high = np.quantile(table, (0.05, 0.95), axis=0)
    return np.minimum(low, fallback), np.maximum(high, fallback)
