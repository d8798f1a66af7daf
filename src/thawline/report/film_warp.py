"""The film's time: it hurries through the waiting and slows around each turning point."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: The share of the film that the turning points have among them [1].
SLOW_SHARE = 0.6
#: How wide the slowing around a turning point may be, as a standard deviation [s].
WIDEST_S = 30.0
#: Nor is it wider than this share of the morning over the number of turning points [1].
WIDTH_SHARE = 0.2
#: Points of the grid on which the two clocks are held together [1].
GRID = 20_001


@dataclass(frozen=True, slots=True)
class Warp:
    """Two clocks held together: the morning's and the film's.

    Parameters
    ----------
    morning_s : ndarray of float64, shape (n,)
        Times of the morning, rising [s].
    film_s : ndarray of float64, shape (n,)
        Times of the film, rising [s].
    """

    morning_s: NDArray[np.float64]
    film_s: NDArray[np.float64]

    def morning(self, film_s: float) -> float:
        """Give the moment of the morning that is shown at a moment of the film.

        Parameters
        ----------
        film_s : float
            Since the film's start [s].

        Returns
        -------
        float
            Since the recording's start [s].
        """
        return float(np.interp(film_s, self.film_s, self.morning_s))

    def film(self, morning_s: float) -> float:
        """Give the moment of the film at which a moment of the morning is shown.

        Parameters
        ----------
        morning_s : float
            Since the recording's start [s].

        Returns
        -------
        float
            Since the film's start [s].
        """
        return float(np.interp(morning_s, self.morning_s, self.film_s))

    def speed(self, film_s: float) -> float:
        """Tell how much faster than the morning the film runs.

        Parameters
        ----------
        film_s : float
            Since the film's start [s].

        Returns
        -------
        float
            Seconds of the morning in a second of the film [1].
        """
        last = len(self.film_s) - 1
        index = int(np.clip(np.searchsorted(self.film_s, film_s), 1, last))
        passed = self.morning_s[index] - self.morning_s[index - 1]
        return float(passed / (self.film_s[index] - self.film_s[index - 1]))


def warp(duration_s: float, points_s: Sequence[float], seconds: float) -> Warp:
    """Share a film's length among a morning's moments.

    Each moment gets film in proportion to a floor and a bell around each turning point, so
    that the film never stands, never jumps, and never changes its pace at once.

    Parameters
    ----------
    duration_s : float
        Length of the recording [s].
    points_s : sequence of float
        Turning points, since the recording's start [s].
    seconds : float
        Length of the film [s].

    Returns
    -------
    Warp
        The two clocks.
    """
    t = np.linspace(0.0, duration_s, GRID)
    share = SLOW_SHARE if points_s else 0.0
    pace = np.full(GRID, (1.0 - share) / duration_s)
    width = min(WIDEST_S, WIDTH_SHARE * duration_s / max(len(points_s), 1))
    for point_s in points_s:
        bell = np.exp(-0.5 * ((t - min(max(point_s, 0.0), duration_s)) / width) ** 2)
        pace += share / len(points_s) * bell / np.trapezoid(bell, t)
    steps = 0.5 * (pace[1:] + pace[:-1]) * np.diff(t)
    film = np.concatenate([[0.0], np.cumsum(steps)])
    return Warp(t, film / film[-1] * seconds)
