"""The course of a temperature, finer than the step of its thermometer.

A thermometer that shows whole degrees tells most at the moments at which its reading changes:
then the temperature lies between the two readings. Between such moments a straight line is
nearer than the reading. A fine thermometer is averaged over a few seconds instead.
"""

from __future__ import annotations

from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from thawline.charge.settings import setting
from thawline.ledger.sensors import step_of
from thawline.recording.clock import on_clock
from thawline.recording.recording import Channel, Gap

Array = NDArray[np.float64]


def _running_mean(values: Array, width: int) -> Array:
    if width < 2 or len(values) < width:
        return values
    known = ~np.isnan(values)
    kernel = np.ones(width)
    total = np.convolve(np.where(known, values, 0.0), kernel, "same")
    count = np.convolve(known.astype(float), kernel, "same")
    return np.where(known, total / np.maximum(count, 1.0), np.nan)


def knots(t: Array, values: Array, longest_s: float = np.inf) -> tuple[Array, Array]:
    """Find the moments at which a coarse reading passes from one step to the next.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times of the samples [s].
    values : ndarray of float64, shape (n,)
        Readings [unit].
    longest_s : float
        Changes between samples further apart than this tell no moment [s].

    Returns
    -------
    times, levels : ndarray of float64
        When, and the level half way between both readings; a reading that goes to and fro
        counts once, and not at all if it ends where it began [s], [unit].
    """
    at = np.flatnonzero(np.diff(values) != 0.0)
    if not len(at):
        return np.zeros(0), np.zeros(0)
    when, level = (t[at] + t[at + 1]) / 2.0, (values[at] + values[at + 1]) / 2.0
    upward = values[at + 1] > values[at]
    cuts = np.flatnonzero((np.abs(np.diff(level)) > 1e-9) | (np.diff(when) > setting("flicker_s")))
    times, levels = [], []
    for group in np.split(np.arange(len(at)), cuts + 1):
        if len(group) % 2 == 0 or np.any(t[at[group] + 1] - t[at[group]] > longest_s):
            continue
        # the moment that leaves as much time above before as below after
        back = sum(
            float(when[b] - when[a]) for a, b in pairwise(group) if upward[a] != upward[group[0]]
        )
        times.append(float(when[group[0]]) + back)
        levels.append(float(level[group[0]]))
    return np.asarray(times), np.asarray(levels)


def course(channel: Channel, t: Array, gaps: tuple[Gap, ...] = ()) -> tuple[Array, float]:
    """Lay a temperature or a state of charge on a clock, finer than its sensor's step.

    Parameters
    ----------
    channel : Channel
        The temperature.
    t : ndarray of float64, shape (n,)
        Middles of the ticks, evenly spaced [s].
    gaps : tuple of Gap
        Times in which nothing was recorded.

    Returns
    -------
    values : ndarray of float64, shape (n,)
        Its course; NaN where it is not known [unit].
    sigma : float
        Standard uncertainty of each value by the sensor's step [unit].
    """
    read = on_clock(channel, t, gaps)
    step = step_of(channel)
    tick = float(t[1] - t[0]) if len(t) > 1 else 1.0
    if step <= setting("fine_step_K"):
        width = max(1, round(setting("calm_s") / tick))
        return _running_mean(read, width), float(np.hypot(setting("steady_K"), 0.2 * step))
    if channel.noise > setting("dither") * step:  # noise that makes means finer than the step
        width = max(1, round(setting("dither_s") / tick))
        count = max(setting("dither_s") / max(channel.period_s, tick), 1.0)
        left = channel.noise / float(np.sqrt(count))
        return _running_mean(read, width), float(np.hypot(setting("steady_K"), left))
    times, levels = knots(channel.t, channel.values)
    if not len(times):
        return read, step / float(np.sqrt(12.0))
    ends_t = np.concatenate(([channel.t[0]], times, [channel.t[-1]]))
    ends_v = np.concatenate(([channel.values[0]], levels, [channel.values[-1]]))
    line = np.interp(t, ends_t, ends_v)
    near = np.clip(line, read - 0.6 * step, read + 0.6 * step)
    values = np.where(np.isnan(read), np.nan, near)
    return values, float(np.hypot(setting("steady_K"), 0.15 * step))
