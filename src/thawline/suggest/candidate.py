"""A signal of the log that may be proposed, and the scene: all of them on one clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Habits:
    """How a signal's samples follow one another, at the rate at which they were sent.

    Parameters
    ----------
    samples : int
        Samples with a value [1].
    changes : float
        Share of samples that differ from the one before [1].
    roughness : float
        Mean square difference of neighbours over twice the variance: 0 for smooth curves,
        1 for noise [1].
    counts_up : float
        Share of steps that are +1 of the raw number, or its return to zero [1].
    """

    samples: int = 0
    changes: float = 0.0
    roughness: float = 0.0
    counts_up: float = 0.0


@dataclass(frozen=True, slots=True)
class Candidate:
    """One signal, or one column, of the log.

    Parameters
    ----------
    key : str
        ``Message.Signal``, or the column's heading.
    unit : str
        Unit as the database states it; empty if it states none.
    values : ndarray of float64, shape (n,)
        Means over each second of the scene; NaN where it says nothing [unit].
    step : float
        Smallest step that the values show [unit].
    codes : tuple of float
        The distinct values where there are few, else empty [unit].
    labels : mapping of float to str
        Names of codes.
    period_s : float
        Mean time between samples [s].
    habits : Habits
        How its samples follow one another.
    words : tuple of str
        Texts that name it, nearest first: signal, message, comment.
    low, high : float or None
        Range that the database states [unit].
    least, most : float or None
        Lowest and highest value that its bits can carry; None if that is not known [unit].
    is_by_turns : bool
        Whether it shares its place in the message with others (multiplexed).
    order : int
        Its place in the database [1].
    """

    key: str
    unit: str
    values: NDArray[np.float64]
    step: float = 0.0
    codes: tuple[float, ...] = ()
    labels: Mapping[float, str] = field(default_factory=dict)
    period_s: float = 1.0
    habits: Habits = field(default_factory=Habits)
    words: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    least: float | None = None
    most: float | None = None
    is_by_turns: bool = False
    order: int = 0

    @property
    def spread(self) -> float:
        """Highest less lowest value [unit]; 0 where there is none."""
        if not np.isfinite(self.values).any():
            return 0.0
        return float(np.nanmax(self.values) - np.nanmin(self.values))


@dataclass(frozen=True, slots=True)
class Scene:
    """All candidates on one clock of seconds; times in which nothing was logged are cut out.

    Parameters
    ----------
    candidates : tuple of Candidate
        The candidates, in the order of the database.
    segment : ndarray of int, shape (n,)
        Number of the stretch that each second belongs to; between stretches lies a gap [1].
    silent : tuple of str
        Signals that the log has no value of.
    warnings : tuple of str
        What was noticed, in plain words.
    """

    candidates: tuple[Candidate, ...]
    segment: NDArray[np.int64]
    silent: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()

    def __len__(self) -> int:
        """Count the seconds."""
        return len(self.segment)

    def candidate(self, key: str) -> Candidate:
        """Find a candidate.

        Parameters
        ----------
        key : str
            Its key.

        Returns
        -------
        Candidate
            The candidate.

        Raises
        ------
        KeyError
            If there is none.
        """
        for candidate in self.candidates:
            if candidate.key == key:
                return candidate
        raise KeyError(key)
