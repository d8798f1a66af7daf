"""Bring a channel from its own clock to a common one, keeping energies and gaps."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.recording.recording import Channel, Gap

#: A channel is held rather than interpolated if it is sent on change: its mean step is this
#: many median steps [1] ...
IRREGULAR = 3.0
#: ... and almost never sends the same value twice in a row [share].
REPEATS = 0.05
#: A first sample is believed backward, and a last one forward, for this many periods [1].
REACH_PERIODS = 1.5


def _is_sent_on_change(channel: Channel) -> bool:
    if len(channel.t) < 8:
        return False
    steps = np.diff(channel.t)
    usual = float(np.mean(steps)) / IRREGULAR
    if 2 * np.count_nonzero(steps < usual) < len(steps):
        return False  # the median cannot be below: no need to find it
    irregular = usual > max(float(np.median(steps)), 1e-9)
    return bool(irregular and np.mean(np.diff(channel.values) == 0.0) < REPEATS)


def _covered(
    channel: Channel, low: NDArray[np.float64], high: NDArray[np.float64], gaps: Sequence[Gap]
) -> NDArray[np.bool_]:
    """Tell which ticks have a fresh sample near enough and lie in no gap."""
    t = channel.t
    reach = min(REACH_PERIODS * channel.period_s, channel.stale_after_s)
    forward = channel.stale_after_s if channel.is_state else reach
    covered = (high > t[0] - reach) & (low < t[-1] + forward)
    holes = np.flatnonzero(np.diff(t) > channel.stale_after_s)
    spans = [(t[i], t[i + 1]) for i in holes] + [(gap.from_s, gap.to_s) for gap in gaps]
    middle = (low + high) / 2.0
    for begin, end in spans:
        covered &= ~((middle > begin) & (middle < end))
    return np.asarray(covered)


def _mean_linear(
    t: NDArray[np.float64], y: NDArray[np.float64], edges: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Average the straight lines between samples over each tick: integrals are exact."""
    area = np.concatenate(([0.0], np.cumsum(np.diff(t) * (y[1:] + y[:-1]) / 2.0)))
    i = np.clip(np.searchsorted(t, edges, side="right") - 1, 0, len(t) - 2)
    width = np.maximum(t[i + 1] - t[i], 1e-12)
    into = edges - t[i]
    inside = np.clip(into, 0.0, width)
    slope = (y[i + 1] - y[i]) / width
    at_edges = area[i] + y[i] * inside + slope * inside**2 / 2.0
    beyond = np.where(into < 0.0, into * y[0], np.maximum(into - width, 0.0) * y[-1])
    return np.asarray(np.diff(at_edges + beyond) / np.diff(edges))


def _mean_held(
    t: NDArray[np.float64], y: NDArray[np.float64], edges: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Average a staircase over each tick."""
    area = np.concatenate(([0.0], np.cumsum(np.diff(t) * y[:-1])))
    i = np.clip(np.searchsorted(t, edges, side="right") - 1, 0, len(t) - 1)
    at_edges = area[i] + y[i] * (edges - t[i])
    return np.asarray(np.diff(at_edges) / np.diff(edges))


def on_clock(
    channel: Channel, t: NDArray[np.float64], gaps: Sequence[Gap] = ()
) -> NDArray[np.float64]:
    """Bring a channel to a uniform clock.

    Values are averaged over each tick, as straight lines between samples (as a staircase
    for channels that are sent on change), so that sums over ticks are integrals. States
    take the last value before the middle of the tick. Ticks without a fresh sample, or in
    a gap, are NaN.

    Parameters
    ----------
    channel : Channel
        The channel.
    t : ndarray of float64, shape (n,)
        Middles of the ticks, evenly spaced [s].
    gaps : sequence of Gap, optional
        Times in which nothing was recorded.

    Returns
    -------
    ndarray of float64, shape (n,)
        Values in the channel's unit; NaN where it says nothing.
    """
    if len(t) == 0 or len(channel.t) == 0:
        return np.full(len(t), np.nan)
    step = float(t[1] - t[0]) if len(t) > 1 else 1.0
    edges = np.append(t - step / 2.0, t[-1] + step / 2.0)
    covered = _covered(channel, edges[:-1], edges[1:], gaps)
    if channel.is_state:
        i = np.clip(np.searchsorted(channel.t, t, side="right") - 1, 0, len(channel.t) - 1)
        values = channel.values[i]
    elif len(channel.t) == 1:
        values = np.full(len(t), channel.values[0])
    elif _is_sent_on_change(channel):
        values = _mean_held(channel.t, channel.values, edges)
    else:
        values = _mean_linear(channel.t, channel.values, edges)
    return np.asarray(np.where(covered, values, np.nan), dtype=np.float64)


def ticks(duration_s: float, step_s: float = 1.0) -> NDArray[np.float64]:
    """Lay a clock over a recording.

    Parameters
    ----------
    duration_s : float
        Length of the recording [s].
    step_s : float
        Length of a tick [s].

    Returns
    -------
    ndarray of float64, shape (n,)
        Middles of the ticks; at least one [s].
    """
    count = max(1, int(np.ceil(duration_s / step_s - 1e-9)))
    return np.asarray((np.arange(count) + 0.5) * step_s, dtype=np.float64)
