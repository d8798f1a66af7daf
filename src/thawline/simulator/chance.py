"""Slow chance: what sways by itself, the same for every step length."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

#: Sway is drawn once in this time and goes straight between [s].
STEP_S = 2.0


def sway(rng: np.random.Generator, t: NDArray[np.float64], memory_s: float) -> NDArray[np.float64]:
    """Draw something that sways about zero with a standard deviation of one.

    Parameters
    ----------
    rng : Generator
        Chance.
    t : ndarray of float64, shape (n,)
        Times [s].
    memory_s : float
        How long it remembers [s].

    Returns
    -------
    ndarray of float64, shape (n,)
        The sway [1].
    """
    points = np.arange(0.0, float(t[-1]) + 2.0 * STEP_S, STEP_S)
    keep = float(np.exp(-STEP_S / memory_s))
    fresh = rng.normal(0.0, np.sqrt(1.0 - keep * keep), len(points))
    values = np.empty(len(points))
    now = 0.0
    for i, new in enumerate(fresh):
        now = keep * now + float(new)
        values[i] = now
    return np.interp(t, points, values)
