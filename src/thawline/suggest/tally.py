"""Sum up one signal second by second while a log streams by, so that memory stays flat."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.recording.sensor import resolution
from thawline.suggest.candidate import Habits

#: A signal with more distinct values than this is no state [1].
MOST_CODES = 12
#: Samples of each batch that are kept to find the step [1], and batches of which they are.
KEPT, KEPT_BATCHES = 1000, 20
#: A hole is bridged if it is no longer than this many mean periods [1], or this long [s].
BRIDGED_PERIODS, BRIDGED_S = 3.0, 5.0

Floats = NDArray[np.float64]


class Tally:
    """What is known of one signal so far; grows batch by batch, and ends in a candidate.

    Parameters
    ----------
    scale : float, optional
        Step of the raw number, where the database tells [unit].
    """

    def __init__(self, scale: float | None = None) -> None:
        self._scale = scale
        self._parts: list[tuple[NDArray[np.int64], Floats, Floats, Floats]] = []
        self._kept: list[Floats] = []
        self._codes: set[float] | None = set()
        self._samples = self._changes = self._ups = 0
        self._sum = self._squares = self._steps = 0.0
        self._first = self._last = np.nan

    def add(self, second: NDArray[np.int64], values: Floats) -> None:
        """Add samples.

        Parameters
        ----------
        second : ndarray of int, shape (n,)
            The second that each sample falls in, never decreasing [s].
        values : ndarray of float64, shape (n,)
            Values, none of them NaN [unit].
        """
        if not len(values):
            return
        begins = np.flatnonzero(np.diff(second, prepend=second[0] - 1))
        ends = np.append(begins[1:], len(values))
        sums = np.add.reduceat(values, begins)
        counts = (ends - begins).astype(np.float64)
        self._parts.append((second[begins], sums, counts, values[ends - 1]))
        if len(self._kept) < KEPT_BATCHES:
            self._kept.append(values[:: max(1, len(values) // KEPT)])
        self._note_codes(values)
        self._note_habits(values)

    def _note_codes(self, values: Floats) -> None:
        if self._codes is None:
            return
        for part in (values[:KEPT], values):
            self._codes |= set(np.unique(part).tolist())
            if len(self._codes) > MOST_CODES:
                self._codes = None
                return

    def _note_habits(self, values: Floats) -> None:
        if not self._samples:
            self._first = float(values[0])
        else:
            values = np.concatenate(([self._last], values))
        change = np.diff(values)
        self._changes += int(np.count_nonzero(change))
        self._steps += float(np.dot(change, change))
        if self._scale:
            lowest = values[1:] <= values.min()
            ups = np.abs(change - self._scale) < abs(self._scale) / 4.0
            self._ups += int(np.count_nonzero(ups | ((change < 0.0) & lowest)))
        centred = values[-len(change) :] - self._first if len(change) else values[:0]
        self._sum += float(centred.sum())
        self._squares += float(np.dot(centred, centred))
        self._samples += len(change) + (not self._samples)
        self._last = float(values[-1])

    @property
    def samples(self) -> int:
        """Count the samples [1]."""
        return self._samples

    @property
    def end(self) -> int:
        """The last second that holds a sample; -1 if none does [s]."""
        return int(self._parts[-1][0][-1]) if self._parts else -1

    def habits(self) -> Habits:
        """Tell how the samples follow one another.

        Returns
        -------
        Habits
            Shares of changes and of steps up, and the roughness.
        """
        n = max(1, self._samples - 1)
        variance = self._squares / n - (self._sum / n) ** 2
        rough = self._steps / n / (2.0 * variance) if variance > 0.0 else 0.0
        return Habits(self._samples, self._changes / n, rough, self._ups / n)

    def codes(self) -> tuple[float, ...]:
        """List the distinct values where there are few.

        Returns
        -------
        tuple of float
            In ascending order; empty if there are many [unit].
        """
        return tuple(sorted(self._codes or ()))

    def step(self) -> float:
        """Find the smallest step that the values show.

        Returns
        -------
        float
            The step; the raw number's where too few values were seen [unit].
        """
        seen = resolution(np.concatenate(self._kept)) if self._kept else 0.0
        return max(seen, abs(self._scale or 0.0))

    def touched(self, n: int) -> NDArray[np.bool_]:
        """Tell which seconds hold a sample.

        Parameters
        ----------
        n : int
            Seconds in all [s].

        Returns
        -------
        ndarray of bool, shape (n,)
            True where one does.
        """
        found = np.zeros(n, dtype=bool)
        for second, *_ in self._parts:
            found[second] = True
        return found

    def series(self, n: int, *, is_state: bool) -> Floats:
        """Lay the signal out second by second.

        Parameters
        ----------
        n : int
            Seconds in all [s].
        is_state : bool
            Whether a value holds until the next; else short holes are bridged by lines.

        Returns
        -------
        ndarray of float64, shape (n,)
            Means over each second (last values, for states); NaN where nothing is known [unit].
        """
        sums, counts, last = np.zeros(n), np.zeros(n), np.zeros(n)
        for second, part_sums, part_counts, part_last in self._parts:
            sums[second] += part_sums
            counts[second] += part_counts
            last[second] = part_last
        there = np.flatnonzero(counts)
        if not len(there):
            return np.full(n, np.nan)
        known = last[there] if is_state else sums[there] / counts[there]
        t = np.arange(n)
        period = (there[-1] - there[0] + 1) / len(there)
        reach = max(BRIDGED_PERIODS * period, BRIDGED_S)
        after = np.searchsorted(there, t)
        ahead = np.append(there, n + 2.0 * reach)[after] - t
        behind = t - np.append(-2.0 * reach, there)[np.searchsorted(there, t, side="right")]
        if is_state:
            values = known[np.clip(np.searchsorted(there, t, side="right") - 1, 0, len(there) - 1)]
            return np.where((behind <= 2.0 * reach) | (ahead <= reach), values, np.nan)
        values = np.interp(t, there, known)
        return np.where((np.minimum(ahead, behind) <= reach), values, np.nan)
