"""Find when a temperature passed a level, also with a coarse or noisy sensor."""

from __future__ import annotations

import numpy as np

from thawline.recording.recording import Channel, Gap
from thawline.story.monotone import monotone_cubic
from thawline.story.stretch import ROOT_12, Edge
from thawline.story.thresholds import threshold
from thawline.story.trace import Trace, trace_of

#: Readings more than this share of a step from a level lie surely on one side of it [1].
SURE_STEPS = 0.49
#: Means of dithered readings are wrong by at most this share of a step [1].
LEFT_OVER = 0.15
#: Steps on either side that are looked at to place a level between two readings [1].
STEPS_AROUND = 2.2
#: At least and at most so far beside a passage samples in noise are looked at [s].
LEAST_BESIDE_S, MOST_BESIDE_S = 8.0, 120.0
#: Readings that stay above for so long have done with flicker [s].
SETTLED_S = 60.0


def _passages(trace: Trace, level: float, margin: float) -> list[tuple[int, int]]:
    """Find pairs of the last sample surely below and the first surely above."""
    side = np.where(trace.v <= level - margin, -1, np.where(trace.v >= level + margin, 1, 0))
    sure = np.flatnonzero(side)
    turns = np.flatnonzero((side[sure][:-1] < 0) & (side[sure][1:] > 0))
    return [(int(sure[i]), int(sure[i + 1])) for i in turns]


def _believable(trace: Trace, before: int, after: int, level: float, margin: float) -> bool:
    """Tell a warming from a default value, a glitch, or the first moments of a bus."""
    t, v = trace.t, trace.v
    jump = max(threshold("temperature_jump_K"), 3.0 * trace.step)
    apart = t[after] - t[before]
    if v[after] - v[before] > jump + 2.0 * margin and apart < max(5.0, 1.5 * trace.period_s):
        return False
    earlier = np.flatnonzero(v[:before] >= level + margin)
    since = t[earlier[-1] + 1] if len(earlier) else t[0]
    later = np.flatnonzero(v[after:] <= level - margin)
    until = t[after + later[0] - 1] if len(later) else t[-1]
    needed = threshold("opening_s")
    lasts = until - t[after] >= needed or not len(later)
    return bool(t[before] - since >= needed and lasts)


def _change_at(trace: Trace, middle: float, low: int, high: int) -> float | None:
    """Find when readings changed from below to above a middle, counting flicker out."""
    part = slice(low, high + 1)
    t, up = trace.t[part], trace.v[part] > middle
    if up.all() or not up.any():
        return None
    first = int(np.argmax(up))
    if first == 0:
        return None
    # flicker lasts until readings stay above for a while
    turns = np.flatnonzero(np.diff(up.astype(np.int8)))
    falls = [int(i) for i in turns if i >= first]
    settled = first
    for fall in falls[::2]:
        if t[fall] - t[settled] >= SETTLED_S:
            break
        again = np.flatnonzero(up[fall + 1 :])
        if not len(again):
            break
        settled = fall + 1 + int(again[0])
    downs = int((~up[first:settled]).sum())
    return float((t[first] + t[first - 1]) / 2.0) + downs * trace.period_s


def _between(levels: list[float], times: list[float], level: float) -> tuple[float, float]:
    """Interpolate times over levels, bending as the neighbours do; give also how unsure."""
    straight = float(np.interp(level, levels, times))
    if len(levels) < 3:
        i = int(np.clip(np.searchsorted(levels, level), 1, len(levels) - 1))
        return straight, 0.1 * (times[i] - times[i - 1])
    bent = monotone_cubic(np.asarray(levels), np.asarray(times), level)
    return bent, abs(bent - straight)


def _by_steps(trace: Trace, level: float, low: int, high: int) -> tuple[float, float] | None:
    """Place a level between the moments at which a rounding sensor changes its reading."""
    readings = np.unique(np.round(trace.v[low : high + 1], 6))
    middles = (readings[1:] + readings[:-1]) / 2.0
    changes = [(m, _change_at(trace, float(m), low, high)) for m in middles]
    known = [(float(m), when) for m, when in changes if when is not None]
    known = [pair for i, pair in enumerate(known) if not i or pair[1] > known[i - 1][1]]
    if len(known) < 2 or not known[0][0] <= level <= known[-1][0]:
        return None
    return _between([m for m, _ in known], [when for _, when in known], level)


def _line_within(
    trace: Trace, level: float, about_s: float, half_s: float
) -> tuple[float, float] | None:
    """Fit a line to the samples beside an instant; give when it meets a level, how surely."""
    low, high = np.searchsorted(trace.t, (about_s - half_s, about_s + half_s))
    t, v = trace.t[low:high], trace.raw[low:high]
    if len(t) < 3:
        return None
    centre = float(t.mean())
    steep, intercept = np.polyfit(t - centre, v, 1)
    if steep <= 0.0:
        return None
    unsure = 2.0 * trace.raw_noise / float(steep) / np.sqrt(len(t))
    return centre + float((level - intercept) / steep), float(unsure)


def _by_line(trace: Trace, level: float, about_s: float) -> tuple[float, float] | None:
    """Fit lines over wider and wider stretches, as long as they agree within their noise.

    A wider stretch is surer in noise, a narrower one where the temperature bends.
    """
    half = max(LEAST_BESIDE_S, 2.5 * trace.period_s)
    found = _line_within(trace, level, about_s, half)
    while half < MOST_BESIDE_S:
        half *= 1.5
        wider = _line_within(trace, level, about_s, half)
        if wider is None or found is None or abs(wider[0] - found[0]) > found[1]:
            break
        found = wider
    return found


def _place(trace: Trace, level: float, before: int, after: int) -> Edge:
    t, v = trace.t, trace.v
    apart = float(t[after] - t[before])
    straight = float(t[before] + apart * (level - v[before]) / (v[after] - v[before]))
    found: float | None = None
    unsure = trace.period_s / ROOT_12
    if trace.coarse:
        reach = STEPS_AROUND * trace.step
        under = np.flatnonzero(v[:before] < level - reach)
        over = np.flatnonzero(v[after:] > level + reach)
        low = int(under[-1]) if len(under) else 0
        high = after + int(over[0]) if len(over) else len(v) - 1
        placed = _by_steps(trace, level, low, high)
        if placed is not None:
            found, more = placed
            unsure = float(np.hypot(unsure, more))
    else:
        line = _by_line(trace, level, straight)
        if line is not None:
            found, more = line
            unsure = float(np.hypot(unsure, more))
    if found is None or not t[before] - trace.period_s <= found <= t[after] + trace.period_s:
        found = straight
        unsure = float(np.hypot(unsure, apart / ROOT_12))
    return Edge(found, unsure)


def _at_the_end(trace: Trace, level: float, margin: float) -> Edge | None:
    """Tell a passage just before the recording's end, if the warming was steady."""
    t, v = trace.t, trace.v
    below = np.flatnonzero(v <= level - margin)
    if not len(below) or np.any(v[below[-1] :] >= level + margin):
        return None
    last = int(below[-1])
    if t[last] - t[0] < threshold("opening_s") or t[-1] - t[last] < 2.0 * trace.period_s:
        return None
    if not trace.coarse:
        return None
    reach = np.flatnonzero(v[:last] < level - (STEPS_AROUND + 1.0) * trace.step)
    low = int(reach[-1]) if len(reach) else 0
    readings = np.unique(np.round(v[low:], 6))
    middles = (readings[1:] + readings[:-1]) / 2.0
    known = [(m, _change_at(trace, float(m), low, len(v) - 1)) for m in middles if m < level]
    steps = [(float(m), when) for m, when in known if when is not None][-2:]
    if len(steps) < 2 or steps[1][1] <= steps[0][1]:
        return None
    slope = (steps[1][0] - steps[0][0]) / (steps[1][1] - steps[0][1])
    found = steps[1][1] + (level - steps[1][0]) / slope
    slowed = t[-1] - steps[1][1] > trace.step / slope
    if slowed or found > t[-1]:
        return None
    return Edge(found, 0.3 * trace.step / slope)


def _margin(trace: Trace) -> float:
    """Give how far from a level a reading is surely on one side of it."""
    least = threshold("temperature_least_margin_K")
    if trace.coarse:  # the noise of a coarse sensor is the flicker between two readings
        return max(least, SURE_STEPS * trace.step)
    return max(least, LEFT_OVER * trace.step, threshold("noise_factor") * trace.noise)


def undecided(channel: Channel, level: float) -> bool:
    """Tell whether a temperature ends so near a level that the sensor cannot tell its side.

    Parameters
    ----------
    channel : Channel
        The temperature.
    level : float
        The level [unit].

    Returns
    -------
    bool
        True if it was surely below before, and at the end is neither surely below nor above.
    """
    if len(channel.t) < 4:
        return False
    trace = trace_of(channel)
    margin = _margin(trace)
    side = np.where(trace.v <= level - margin, -1, np.where(trace.v >= level + margin, 1, 0))
    sure = np.flatnonzero(side)
    open_end = len(sure) > 0 and side[sure[-1]] < 0 and len(side) - sure[-1] > 3
    return bool(open_end and _at_the_end(trace, level, margin) is None)


def upward_crossings(
    channel: Channel, level: float, gaps: tuple[Gap, ...] = ()
) -> tuple[Edge, ...]:
    """Find when a temperature rose past a level.

    The value must lie surely below before and surely above after, by the sensor's step and
    noise. A rounding sensor changes its reading half a step early; the level is placed
    between the changes of the readings around it.

    Parameters
    ----------
    channel : Channel
        The temperature.
    level : float
        The level [unit].
    gaps : tuple of Gap
        Times in which nothing was recorded.

    Returns
    -------
    tuple of Edge
        The passages, in order of time.
    """
    if len(channel.t) < 4:
        return ()
    trace = trace_of(channel)
    margin = _margin(trace)
    found = []
    for before, after in _passages(trace, level, margin):
        if not _believable(trace, before, after, level, margin):
            continue
        silent = [gap for gap in gaps if gap.from_s < trace.t[after] and gap.to_s > trace.t[before]]
        edge = _place(trace, level, before, after)
        if silent:
            begin, end = float(trace.t[before]), float(trace.t[after])
            middle = min(max(edge.t_s, begin), end)
            edge = Edge(middle, (end - begin) / ROOT_12, end - begin)
        found.append(edge)
    last = _at_the_end(trace, level, margin)
    return (*found, last) if last is not None else tuple(found)
