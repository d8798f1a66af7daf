"""What a channel's own samples tell about its sensor: its step, its noise, its period."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

#: Steps are looked for in at most this many samples [1].
LOOK_AT = 50_000
#: A step is believed if this share of all differences is a multiple of it [1].
MULTIPLES = 0.95
#: The largest share of second differences is taken for signal, not noise [1].
TRIMMED = 0.05
#: Samples are stale after this many of their usual longest intervals [1] ...
STALE_INTERVALS = 3.0
#: ... but never sooner than this [s].
STALE_AT_LEAST_S = 5.0


def resolution(values: NDArray[np.float64]) -> float:
    """Estimate the smallest step that a sensor shows.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Samples in the order of time [unit].

    Returns
    -------
    float
        The step, found as the smallest difference between levels of which nearly all others
        are multiples; 0 where the levels show no common step, or there are fewer than three
        [unit].
    """
    levels = np.unique(values[: LOOK_AT * 4 : max(1, min(4, len(values) // LOOK_AT))])
    scale = float(np.max(np.abs(levels))) if len(levels) else 0.0
    gaps = np.diff(levels)
    gaps = gaps[gaps > 1e-9 * max(scale, 1e-9)]
    if len(gaps) < 2:
        return 0.0
    step = float(np.median(gaps[gaps < 1.5 * gaps.min()]))
    counts = gaps / step
    whole = np.abs(counts - np.round(counts)) < 0.02 * np.maximum(counts, 1.0)
    return step if float(np.mean(whole)) >= MULTIPLES else 0.0


def noise(values: NDArray[np.float64]) -> float:
    """Estimate the noise of a channel from second differences.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Samples in the order of time [unit].

    Returns
    -------
    float
        Standard deviation of white noise that would give the same differences, the largest
        five per cent of them left out as signal; 0 for fewer than eight samples [unit].

    Notes
    -----
    For white noise of standard deviation s, ``x[i-1] - 2 x[i] + x[i+1]`` has variance 6 s².
    """
    if len(values) < 8:
        return 0.0
    second = np.abs(np.diff(values[-4 * LOOK_AT :], 2))
    kept = np.sort(second)[: max(1, int(len(second) * (1.0 - TRIMMED)))]
    return float(np.sqrt(np.mean(kept**2) / 6.0))


def period(t: NDArray[np.float64]) -> float:
    """Find the usual time between samples.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times, never decreasing [s].

    Returns
    -------
    float
        Median interval; 0 for fewer than two samples [s].
    """
    return float(np.median(np.diff(t), overwrite_input=True)) if len(t) > 1 else 0.0


def stale_after(
    t: NDArray[np.float64], gaps: tuple[tuple[float, float], ...], *, is_state: bool
) -> float:
    """Find for how long a sample still speaks for the present.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times, never decreasing [s].
    gaps : tuple of (float, float)
        Times in which the whole log is silent; they do not count [s].
    is_state : bool
        States are often sent on change: any interval seen outside gaps is usual for them.

    Returns
    -------
    float
        The time [s].
    """
    steps = np.diff(t)
    spans_gap = np.unique([i for gap in gaps for i in _across(t, *gap)]).astype(np.intp)
    if len(spans_gap):
        steps = np.delete(steps, spans_gap)
    if not len(steps):
        return float("inf") if is_state else STALE_AT_LEAST_S
    if is_state:
        usual = float(steps.max())
    else:
        usual = float(np.quantile(steps, 0.95, overwrite_input=True))
    return max(STALE_AT_LEAST_S, STALE_INTERVALS * usual)


def _across(t: NDArray[np.float64], begin: float, end: float) -> range:
    """Find the intervals that begin before a gap does and end after it."""
    after = int(np.searchsorted(t, end, side="left"))
    last = int(np.searchsorted(t, begin, side="right")) - 1
    return range(max(after - 1, 0), min(last, len(t) - 2) + 1)
