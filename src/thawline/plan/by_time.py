"""What changes with time: air outside, prices, carbon dioxide."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class ByTime:
    """A quantity by time.

    Parameters
    ----------
    t_s : tuple of float
        Times, rising, since 1970-01-01 UTC; empty for a constant [s].
    values : tuple of float
        Values from each time on, or at it; one for a constant [unit].
    is_line : bool
        Whether straight lines join the values; else each holds until the next.
    origin : str
        Where it comes from, in plain words.
    """

    t_s: tuple[float, ...]
    values: tuple[float, ...]
    is_line: bool = False
    origin: str = "constant"

    def at(self, t_s: Array) -> Array:
        """Find the value at instants.

        Parameters
        ----------
        t_s : ndarray of float64, shape (n,)
            Instants, since 1970-01-01 UTC [s].

        Returns
        -------
        ndarray of float64, shape (n,)
            Values; the first and the last hold beyond the table [unit].
        """
        if not self.t_s:
            return np.full(len(t_s), self.values[0])
        if self.is_line:
            return np.interp(t_s, self.t_s, self.values)
        i = np.searchsorted(self.t_s, t_s, side="right") - 1
        return np.asarray(self.values)[np.clip(i, 0, None)]

    def mean(self, begins_s: Array, step_s: float) -> Array:
        """Find means over steps.

        Parameters
        ----------
        begins_s : ndarray of float64, shape (n,)
            Beginnings of the steps, since 1970-01-01 UTC [s].
        step_s : float
            Their length [s].

        Returns
        -------
        ndarray of float64, shape (n,)
            Means [unit].
        """
        parts = (np.arange(10) + 0.5) / 10.0 * step_s
        whole = (begins_s[:, None] + parts).ravel()
        return np.asarray(self.at(whole).reshape(len(begins_s), -1).mean(axis=1))


def constant(value: float, origin: str = "constant") -> ByTime:
    """Make a quantity that does not change.

    Parameters
    ----------
    value : float
        Its value [unit].
    origin : str
        Where it comes from.

    Returns
    -------
    ByTime
        The constant.
    """
    return ByTime((), (value,), origin=origin)
