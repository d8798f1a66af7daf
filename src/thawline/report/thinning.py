"""Thin a channel for a chart, so that peaks stay and gaps stay gaps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.recording.recording import Channel, Gap

#: Points that a line of a chart keeps at most: two per pixel of a wide screen [1].
POINTS = 2400

#: A channel flickers if at least this many changes undo the change before [1] ...
UNDONE = 40
#: ... and these are at least this share of all changes [1].
UNDONE_SHARE = 0.3

Floats = NDArray[np.float64]


def with_breaks(channel: Channel, gaps: Sequence[Gap]) -> tuple[Floats, Floats]:
    """Put a NaN wherever a channel was silent for too long or the log has a gap.

    Parameters
    ----------
    channel : Channel
        The channel.
    gaps : sequence of Gap
        Times in which nothing was recorded.

    Returns
    -------
    tuple of ndarray
        Times [s] and values, with one NaN inside each silence.
    """
    t, values = channel.t, channel.values
    silent = np.diff(t) > channel.stale_after_s
    for gap in gaps:
        silent |= (t[:-1] <= gap.from_s) & (t[1:] >= gap.to_s)
    after = np.flatnonzero(silent)
    middles = (t[after] + t[after + 1]) / 2.0
    return np.insert(t, after + 1, middles), np.insert(values, after + 1, np.nan)


def flickers(values: Floats) -> bool:
    """Tell whether a sensor goes to and fro between two of its steps.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Values; NaN where there is none [unit].

    Returns
    -------
    bool
        True if a good share of its changes only undo the change before.
    """
    changes = np.diff(values[~np.isnan(values)])
    changes = changes[changes != 0.0]
    undone = int(np.count_nonzero(np.abs(changes[1:] + changes[:-1]) < 1e-9))
    return undone >= UNDONE and undone >= UNDONE_SHARE * len(changes)


def calmed(t: Floats, values: Floats, width_s: float) -> tuple[Floats, Floats]:
    """Average a flickering channel over short times; breaks stay where they are.

    A sensor that flickers between two steps tells more by its mean than by either step.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times, never decreasing [s].
    values : ndarray of float64, shape (n,)
        Values; NaN where there is none [unit].
    width_s : float
        Length of the times to average over [s].

    Returns
    -------
    tuple of ndarray
        Mean times [s] and mean values.
    """
    if len(t) == 0:
        return t, values
    broken = np.isnan(values)
    stretch = np.cumsum(broken) + np.cumsum(np.append(False, broken[:-1]))
    window = np.floor((t - t[0]) / width_s)
    begins = np.append(True, (np.diff(stretch) != 0) | (np.diff(window) != 0))
    first = np.flatnonzero(begins)
    count = np.diff(np.append(first, len(t)))
    return np.add.reduceat(t, first) / count, np.add.reduceat(values, first) / count


def thin(t: Floats, values: Floats, points: int = POINTS) -> tuple[Floats, Floats]:
    """Choose the samples that draw the same line.

    Extremes are kept by bins, then the largest triangles among them [1]_; a bin that
    holds a NaN keeps it, so that a break stays a break [2]_.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times, never decreasing [s].
    values : ndarray of float64, shape (n,)
        Values; NaN where there is none [unit].
    points : int
        How many samples to keep [1].

    Returns
    -------
    tuple of ndarray
        Times [s] and values of the samples kept, at most ``points`` and one NaN per break.

    References
    ----------
    .. [1] J. Van Der Donckt, J. Van Der Donckt, M. Rademaker, S. Van Hoecke, "MinMaxLTTB:
       Leveraging MinMax-Preselection to Scale LTTB", IEEE VIS 2023,
       arXiv:2305.00332.
    .. [2] The NaN-keeping variant of the package tsdownsample.
    """
    if len(t) <= points:
        return t, values
    from tsdownsample import NaNMinMaxLTTBDownsampler  # loads a compiled library: only for charts

    kept = NaNMinMaxLTTBDownsampler().downsample(  # type: ignore[no-untyped-call]  # it has no types
        t, values, n_out=points
    )
    breaks = np.flatnonzero(np.isnan(values) & ~np.isnan(np.append(values[1:], 0.0)))
    kept = np.union1d(kept.astype(np.int64), breaks)
    return t[kept], values[kept]


def mean_by_bins(values: Floats, width: int) -> Floats:
    """Average neighbours on an even clock, so that areas keep.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Values; NaN where there is none [unit].
    width : int
        How many neighbours make one [1].

    Returns
    -------
    ndarray of float64, shape (ceil(n / width),)
        Means of what is known in each bin; NaN where nothing is.
    """
    if width <= 1 or len(values) == 0:
        return values
    missing = -len(values) % width
    bins = np.append(values, np.full(missing, np.nan)).reshape(-1, width)
    known = ~np.isnan(bins)
    count = known.sum(axis=1)
    total = np.where(known, bins, 0.0).sum(axis=1)
    return np.where(count > 0, total / np.maximum(count, 1), np.nan)
