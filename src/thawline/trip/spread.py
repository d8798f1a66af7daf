"""A figure with its spread over many cars that could be this one."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Spread:
    """Where a figure lies.

    Parameters
    ----------
    p10, p50, p90 : float
        Below these lie one, five and nine in ten [unit].
    mean : float
        Mean; means of parts add up to the mean of the whole [unit].
    """

    p10: float
    p50: float
    p90: float
    mean: float


def spread_of(values: Array) -> Spread:
    """Sum up the figure of each member.

    Parameters
    ----------
    values : ndarray of float64, shape (k,)
        The figure, member by member [unit].

    Returns
    -------
    Spread
        Where it lies.
    """
    low, middle, high = np.quantile(values, (0.1, 0.5, 0.9)).tolist()
    return Spread(low, middle, high, float(np.mean(values)))
