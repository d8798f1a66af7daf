"""Find when a temperature passed a level, also with a coarse or noisy sensor."""

from __future__ import annotations

import numpy as np

from thawline.recording.recording import Channel, Gap
from thawline.story.fitted_line import fitted
from thawline.story.monotone import monotone_cubic
from thawline.story.stretch import ROOT_12, Edge
from thawline.story.thresholds import threshold
from thawline.story.trace import Trace, trace_of

#: Readings more than this share of a step from a level lie surely on one side of it [1].
SURE_STEPS = 0.49
#: Means of dithered readings are wrong by at most this share of a step [1].
LEFT_OVER = 0.15
#: A level between two changes of a reading is unsure by these shares of the time between them,
#: without and with neighbours that tell how the warming bends; and by this share of flicker [1].
UNBENT_UNSURE, BENT_UNSURE, FLICKER_UNSURE = 0.1, 0.04, 0.2
#: Steps on either side that are looked at to place a level between two readings [1].
STEPS_AROUND = 2.2
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


def _change_at(trace: Trace, middle: float, low: int, high: int) -> tuple[float, float] | None:
    """Find when readings changed from below to above a middle, counting flicker out.

    Gives also how surely: flicker spreads over the time in which noise reaches the middle.
    """
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
    flickered = float(t[settled] - t[first]) * FLICKER_UNSURE
    return float((t[first] + t[first - 1]) / 2.0) + downs * trace.period_s, flickered


def _between(levels: list[float], times: list[float], level: float) -> tuple[float, float]:
    """Interpolate times over levels, bending as the neighbours do; give also how unsure."""
    straight = float(np.interp(level, levels, times))
    i = int(np.clip(np.searchsorted(levels, level), 1, len(levels) - 1))
    step_s = times[i] - times[i - 1]
    if len(levels) < 3:
        return straight, UNBENT_UNSURE * step_s
    bent = monotone_cubic(np.asarray(levels), np.asarray(times), level)
    return bent, float(np.hypot(bent - straight, BENT_UNSURE * step_s))


def _by_steps(trace: Trace, level: float, low: int, high: int) -> tuple[float, float] | None:
    """Place a level between the moments at which a rounding sensor changes its reading."""
    readings = np.unique(np.round(trace.v[low : high + 1], 6))
    middles = (readings[1:] + readings[:-1]) / 2.0
    changes = [(m, _change_at(trace, float(m), low, high)) for m in middles]
    known = [(float(m), *when) for m, when in changes if when is not None]
    known = [each for i, each in enumerate(known) if not i or each[1] > known[i - 1][1]]
    if len(known) < 2 or not known[0][0] <= level <= known[-1][0]:
        return None
    found, unsure = _between([m for m, _, _ in known], [when for _, when, _ in known], level)
    flickered = float(np.interp(level, [m for m, _, _ in known], [f for _, _, f in known]))
    return found, float(np.hypot(unsure, flickered))


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
        line = fitted(trace, level, straight, float(t[before]), float(t[after]))
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
    steps = [(float(m), when[0]) for m, when in known if when is not None][-2:]
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


def begins_near(channel: Channel, level: float) -> bool:
    """Tell whether a temperature begins so near a level that its passage cannot be seen.

    Parameters
    ----------
    channel : Channel
        The temperature.
    level : float
        The level [unit].

    Returns
    -------
    bool
        True if the first readings are on neither side surely, and the first sure ones above.
    """
    if len(channel.t) < 4:
        return False
    trace = trace_of(channel)
    margin = _margin(trace)
    sure = np.flatnonzero(np.abs(trace.v - level) >= margin)
    return bool(len(sure) and sure[0] > 2 and trace.v[sure[0]] > level)


def too_near(channel: Channel, level: float, from_s: float, to_s: float) -> bool:
    """Tell whether a temperature came so near a level that the sensor cannot tell its side.

    Parameters
    ----------
    channel : Channel
        The temperature.
    level : float
        The level [unit].
    from_s, to_s : float
        When it is looked at [s].

    Returns
    -------
    bool
        True if it was surely below, came near, and was never surely above in that time.
    """
    if len(channel.t) < 4:
        return False
    trace = trace_of(channel)
    margin = _margin(trace)
    inside = trace.v[(trace.t >= from_s) & (trace.t <= to_s)]
    if not len(inside):
        return False
    return bool(inside.min() <= level - margin < inside.max() < level + margin)


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
