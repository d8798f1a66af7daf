"""A stretch of time in which something is on, and its edges."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: Something that happened evenly anywhere in a time w: standard deviation w over this [1].
ROOT_12 = float(np.sqrt(12.0))


@dataclass(frozen=True, slots=True)
class Edge:
    """A change of state.

    Parameters
    ----------
    t_s : float
        When [s].
    plus_minus_s : float
        Standard uncertainty of when [s].
    silence_s : float
        Length of the time without data in which it lies; 0 if it was seen [s].
    """

    t_s: float
    plus_minus_s: float
    silence_s: float = 0.0

    @property
    def seen_s(self) -> float:
        """Moment at which the new state is surely seen, also by slower signals [s]."""
        return self.t_s + (self.silence_s / 2.0 + 2.0 if self.silence_s else 0.0)


@dataclass(frozen=True, slots=True)
class Stretch:
    """A stretch of ticks in which something is on.

    Parameters
    ----------
    first, last : int
        First and last tick [1].
    begins, ends : Edge or None
        Its ends; None where they were not seen.
    """

    first: int
    last: int
    begins: Edge | None
    ends: Edge | None


def reach(stretch: Stretch, t: NDArray[np.float64]) -> tuple[float, float]:
    """Tell from when to when a stretch is known to hold.

    Parameters
    ----------
    stretch : Stretch
        The stretch.
    t : ndarray of float64, shape (n,)
        Middles of the ticks [s].

    Returns
    -------
    tuple of float
        Its ends; infinite where it reaches an end of the recording [s].
    """
    begin, end = float(t[stretch.first]), float(t[stretch.last])
    if stretch.begins is not None:
        begin = stretch.begins.t_s
    elif stretch.first == 0:
        begin = float("-inf")
    if stretch.ends is not None:
        end = stretch.ends.t_s
    elif stretch.last == len(t) - 1:
        end = float("inf")
    return begin, end


def holding(
    stretches: Sequence[Stretch], t: NDArray[np.float64], t_s: float, slack_s: float = 0.0
) -> Stretch | None:
    """Find the stretch that holds an instant.

    Parameters
    ----------
    stretches : sequence of Stretch
        Stretches, in order of time.
    t : ndarray of float64, shape (n,)
        Middles of the ticks [s].
    t_s : float
        The instant [s].
    slack_s : float
        How far beside its ends the instant may lie [s].

    Returns
    -------
    Stretch or None
        The last such stretch; None if there is none.
    """
    for stretch in reversed(stretches):
        begin, end = reach(stretch, t)
        if begin <= t_s + slack_s and end >= t_s - slack_s:
            return stretch
    return None
