"""A temperature made ready for the search of its passages."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.recording.clock import on_clock, ticks
from thawline.recording.recording import Channel
from thawline.story.thresholds import threshold

#: Noise of more than this share of a step dithers the readings, so that means are true [1].
DITHERED = 0.2
#: A sample is wild if it lies so many steps, and so many of the noise, beside its neighbours [1].
WILD_STEPS, WILD_SIGMAS = 2.5, 5.0
#: Values in noise are averaged over this time [s].
MEAN_OVER_S = 30.0


@dataclass(frozen=True, slots=True)
class Trace:
    """Samples ready for the search.

    Parameters
    ----------
    t, v, raw : ndarray of float64, shape (n,)
        Times, values, and values before any averaging [s, unit].
    step : float
        Resolution [unit].
    noise, raw_noise : float
        Standard deviation of one value, and of one before averaging [unit].
    period_s : float
        Time between samples [s].
    coarse : bool
        Whether the sensor's steps rule; else its noise does, and values are running means.
    """

    t: NDArray[np.float64]
    v: NDArray[np.float64]
    raw: NDArray[np.float64]
    step: float
    noise: float
    raw_noise: float
    period_s: float
    coarse: bool


def trace_of(channel: Channel) -> Trace:
    """Take native samples; where noise rules, average them over half a minute.

    Parameters
    ----------
    channel : Channel
        A slowly varying quantity, of four samples at least.

    Returns
    -------
    Trace
        Samples ready for the search.
    """
    t, v, noise, period = channel.t, channel.values, channel.noise, channel.period_s
    coarse = channel.resolution * DITHERED > noise
    if 0.0 < period < 0.5 and not coarse:
        clock = ticks(float(t[-1]))
        mean = on_clock(channel, clock)
        known = ~np.isnan(mean)
        t, v, noise, period = clock[known], mean[known], noise * np.sqrt(period), 1.0
    if len(v) > 2:  # a single wild sample is no temperature
        middle = np.median(np.stack((v[:-2], v[1:-1], v[2:])), axis=0)
        calm = np.concatenate(([min(v[0], v[1])], middle, v[-1:]))
        # flicker between two readings stays: medians of it would undo what dithers
        wild = np.abs(v - calm) > max(WILD_STEPS * channel.resolution, WILD_SIGMAS * noise)
        v = np.where(wild, calm, v)
    period = max(period, 1e-3)
    raw, raw_noise = v, noise
    if not coarse and noise > 0.0:
        v, noise = _running(t, v, period, noise)
    return Trace(t, v, raw, channel.resolution, noise, raw_noise, period, coarse)


def _running(
    t: NDArray[np.float64], v: NDArray[np.float64], period_s: float, noise: float
) -> tuple[NDArray[np.float64], float]:
    """Average over a window around each sample, never across a jump or a pause."""
    half = max(2, int(MEAN_OVER_S / period_s / 2.0))
    total = np.concatenate(([0.0], np.cumsum(v)))
    i = np.arange(len(v))
    broken = np.abs(np.diff(v)) > threshold("temperature_jump_K") + 6.0 * noise
    broken |= np.diff(t) > 5.0 * period_s
    part = np.concatenate(([0], np.cumsum(broken)))
    starts = np.searchsorted(part, part, side="left")
    ends = np.searchsorted(part, part, side="right")
    reach = np.minimum(half, np.minimum(i - starts, ends - 1 - i))  # the same on both sides
    mean = (total[i + reach + 1] - total[i - reach]) / (2 * reach + 1)
    return mean, noise / float(np.sqrt(2 * half + 1))
