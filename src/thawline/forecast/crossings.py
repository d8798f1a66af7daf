"""When paths cross a level, and what that says of a turning point."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.forecast import PointAhead

Array = NDArray[np.float64]


def first_crossing(t: Array, paths: Array, level: Array) -> Array:
    """Find when each path first reaches its level.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times [s].
    paths : ndarray of float64, shape (n, ...)
        Paths [unit].
    level : ndarray of float64, shape (...)
        Their levels [unit].

    Returns
    -------
    ndarray of float64, shape (...)
        Times, between steps by straight lines; infinite where it is not reached [s].
    """
    above = paths >= level
    i = np.argmax(above, axis=0)
    ever = above.any(axis=0)
    before = np.maximum(i - 1, 0)
    high = np.take_along_axis(paths, i[None], axis=0)[0]
    low = np.take_along_axis(paths, before[None], axis=0)[0]
    share = np.where(i > 0, (level - low) / np.maximum(high - low, 1e-9), 0.0)
    at = t[before] + np.clip(share, 0.0, 1.0) * (t[i] - t[before])
    return np.asarray(np.where(ever, at, np.inf))


def lasting(above: NDArray[np.bool_], t: Array, for_s: float) -> Array:
    """Find when each path first stays above for some time.

    Parameters
    ----------
    above : ndarray of bool, shape (n, ...)
        Whether it is above.
    t : ndarray of float64, shape (n,)
        Times [s].
    for_s : float
        For how long [s].

    Returns
    -------
    ndarray of float64, shape (...)
        Beginning of that time; infinite where there is none [s].
    """
    stays = above.copy()
    steps = np.diff(t)
    ahead = max(1, int(np.ceil(for_s / float(steps[0])))) if len(steps) else 1
    for shift in range(1, ahead):
        stays[:-shift] &= above[shift:]
        stays[-shift:] = False
    found = np.where(stays.any(axis=0), t[np.argmax(stays, axis=0)], np.inf)
    return np.asarray(found)


def _quantile(times: Array, share: float) -> float | None:
    ordered = np.sort(times)
    value = float(ordered[min(int(np.ceil(share * len(ordered))), len(ordered)) - 1])
    return value if np.isfinite(value) else None


def point_ahead(kind: str, times: Array, because: str, level_kW: float | None = None) -> PointAhead:
    """Sum up a sample of times.

    Parameters
    ----------
    kind : str
        The turning point.
    times : ndarray of float64
        The sample; infinite where it does not come [s].
    because : str
        What it hangs on.
    level_kW : float, optional
        The power asked for [kW].

    Returns
    -------
    PointAhead
        Quantiles and the chance of never.
    """
    flat = np.sort(times.ravel())
    return PointAhead(
        kind,
        _quantile(flat, 0.1),
        _quantile(flat, 0.5),
        _quantile(flat, 0.9),
        float(np.mean(~np.isfinite(flat))),
        level_kW,
        False,
        because,
        flat,
    )


def point_past(kind: str, t_s: float, because: str, level_kW: float | None = None) -> PointAhead:
    """Tell a turning point that has come.

    Parameters
    ----------
    kind : str
        The turning point.
    t_s : float
        When [s].
    because : str
        Why.
    level_kW : float, optional
        The power asked for [kW].

    Returns
    -------
    PointAhead
        With its time as all three quantiles.
    """
    return PointAhead(kind, t_s, t_s, t_s, 0.0, level_kW, True, because, np.array([t_s]))
