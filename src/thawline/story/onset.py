"""Find the true moment of a change that a threshold saw late."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.recording.recording import Channel
from thawline.story.stretch import ROOT_12, Edge
from thawline.story.thresholds import threshold

#: A normal distribution's standard deviation per median absolute deviation [1].
PER_MAD = 1.4826
#: A slow onset is fitted from this many ticks on; fewer are a jump [1].
FEW_TICKS = 4
#: Levels by which a slow onset is followed [1].
LEVELS = 5
#: Grid on which the begin of a rise is looked for [s].
HINGE_STEP_S = 0.5
#: A rise begins with a jump if that leaves less than this share of the squared errors [1].
JUMP_FITS = 0.7
#: A rise that creeps is followed by means over this part of the usual window [1].
CREEP_BLOCKS = 6
#: Ticks of rest before a rise that are looked at besides as many as it lasts [1].
HINGE_BEFORE = 20
#: The level reached is the value that this share of what follows stays below [1].
PLATEAU_SHARE = 0.8
#: A rise is followed up to this share of the level reached [1].
BELOW_PLATEAU = 0.7


def noise_of(values: NDArray[np.float64]) -> float:
    """Estimate the noise of values on a clock from second differences.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        Values; NaN where unknown [unit].

    Returns
    -------
    float
        Standard deviation of what is not signal [unit].
    """
    bends = values[2:] - 2.0 * values[1:-1] + values[:-2]
    bends = bends[~np.isnan(bends)]
    if len(bends) < 8:
        return 0.0
    return float(PER_MAD * np.median(np.abs(bends)) / np.sqrt(6.0))


@dataclass(frozen=True, slots=True)
class Band:
    """What counts as zero and what as on.

    Parameters
    ----------
    on_above : float
        On at or above this [unit].
    off_below : float
        Off at or below this [unit].
    quiet : float
        Half width of the noise band about zero [unit].
    period_s : float
        Time between samples of the slowest signal [s].
    spacing : float
        Distance of the levels by which a slow onset is followed: the sensor's step, or the
        noise band where the sensor shows neither steps nor noise; 0 if noise rules [unit].
    """

    on_above: float
    off_below: float
    quiet: float
    period_s: float
    spacing: float = 0.0


def _by_levels(
    t: NDArray[np.float64], z: NDArray[np.float64], k: int, span: int, band: Band
) -> tuple[float, float] | None:
    """Carry a staircase back to zero by the usual time that it takes per step.

    The middle one of the first few steps is taken, so that a pause in the warming, as
    heaters in pulses make it, does not count.
    """
    ahead = np.nan_to_num(z[k : k + span])
    levels = band.quiet + band.spacing * np.arange(LEVELS)
    at = [int(np.argmax(ahead > level)) for level in levels if (ahead > level).any()]
    step = float(t[1] - t[0])
    if len(at) < 2 or at[1] - at[0] <= max(1.0, band.period_s / step):
        return None  # a jump, or one step alone
    each = float(np.median(np.diff(at))) * step
    share = min(1.0, band.quiet / band.spacing)
    return share * each, 0.3 * each


def _by_line(t: NDArray[np.float64], z: NDArray[np.float64]) -> tuple[float, float] | None:
    """Put a straight line through a noisy passage; give when it passes zero, and how surely."""
    good = ~np.isnan(z)
    if good.sum() < FEW_TICKS:
        return None
    centre = float(t.mean())
    slope, intercept = np.polyfit(t[good] - centre, z[good], 1)
    if slope <= 0.0:
        return None
    scatter = float(np.std(z[good] - slope * (t[good] - centre) - intercept))
    return centre - float(intercept / slope), float(
        scatter / slope * 2.0 / np.sqrt(int(good.sum()))
    )


def _by_hinge(t: NDArray[np.float64], z: NDArray[np.float64]) -> tuple[float, float] | None:
    """Fit rest at zero and then a straight rise; give when the rise began, and how surely.

    A rise that begins with a jump is taken instead where that fits much better.
    """
    good = ~np.isnan(z)
    at, level = t[good], z[good]
    if len(at) < 2 * FEW_TICKS:
        return None
    begins = np.arange(at[0], at[-FEW_TICKS], HINGE_STEP_S)
    along = np.maximum(at[None, :] - begins[:, None], 0.0)
    slopes = (along @ level) / np.maximum((along**2).sum(axis=1), 1e-12)
    errors = ((level[None, :] - slopes[:, None] * along) ** 2).sum(axis=1)
    best = int(np.argmin(errors))
    after = along > 0.0
    count = np.maximum(after.sum(axis=1), 1)
    mean_x, mean_y = along.sum(axis=1) / count, (after @ level) / count
    spread = (along**2).sum(axis=1) - count * mean_x**2
    steep = ((along @ level) - count * mean_x * mean_y) / np.maximum(spread, 1e-12)
    fitted = after * (mean_y[:, None] + steep[:, None] * (along - mean_x[:, None]))
    with_jump = ((level[None, :] - fitted) ** 2).sum(axis=1)
    other = int(np.argmin(with_jump))
    if with_jump[other] < JUMP_FITS * errors[best]:
        return float(begins[other]) + HINGE_STEP_S / 2.0, float(np.median(np.diff(at))) / ROOT_12
    if slopes[best] <= 0.0:
        return None
    scatter = float(np.sqrt(errors[best] / len(at)))
    return float(begins[best]), float(scatter / slopes[best] * 2.0 / np.sqrt(count[best]))


def _through_zero(
    t: NDArray[np.float64], z: NDArray[np.float64], k: int, top: int, band: Band
) -> tuple[float, float] | None:
    """Find when a value passed zero on its way up from below."""
    low = max(0, k - HINGE_BEFORE)
    if band.spacing > 0.0:  # no noise to speak of: between the last tick below and the next
        under = np.flatnonzero(z[low : k + 1] <= 0.0)
        if not len(under):
            return None
        i = low + int(under[-1])
        share = -z[i] / (z[i + 1] - z[i]) if i + 1 < len(z) and z[i + 1] > z[i] else 0.5
        return float(t[i] + share * (t[min(i + 1, len(t) - 1)] - t[i])), 0.0
    part = np.nan_to_num(z[low : top + 1])
    smooth = np.convolve(part, np.ones(5) / 5.0, mode="same")
    below = np.flatnonzero(smooth <= 0.0)
    middle = low + (int(below[-1]) if len(below) else 0)
    near = slice(max(0, middle - HINGE_BEFORE // 2), middle + HINGE_BEFORE // 2 + 1)
    return _by_line(t[near], z[near])


def _from_rest(
    t: NDArray[np.float64], z: NDArray[np.float64], k: int, top: int, band: Band
) -> tuple[float, float] | None:
    """Find when a noisy value began to rise from rest at zero."""
    low = k
    while low > 0 and top - low < 2 * (top - k) + HINGE_BEFORE and z[low - 1] > -3.0 * band.quiet:
        low -= 1
    return _by_hinge(t[low : top + 1], z[low : top + 1])


def _creeping(z: NDArray[np.float64], k: int, i: int, quiet: float) -> int:
    """Follow a rise further back than usual, as long as it is lower the earlier it is."""
    block = max(1, (i - k) // CREEP_BLOCKS)
    level = float(np.nanmean(z[k : k + block]))
    while k >= block and np.any(~np.isnan(z[k - block : k])):
        before = float(np.nanmean(z[k - block : k]))
        if before >= level or before <= quiet:
            break
        k, level = k - block, before
    while k > 0 and z[k - 1] > quiet and z[k - 1] <= level + quiet:
        k -= 1
    return k


def rise_edge(t: NDArray[np.float64], y: NDArray[np.float64], i: int, band: Band) -> Edge:
    """Find when a value began to leave zero, before it was seen to be on.

    The edge is followed back to the noise band. If it is a slow ramp, it is carried on
    from there to the level from which it came.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Middles of the ticks [s].
    y : ndarray of float64, shape (n,)
        The value; NaN where unknown [unit].
    i : int
        First tick at which it is on [1].
    band : Band
        What counts as zero and what as on.

    Returns
    -------
    Edge
        When it left zero.
    """
    step = float(t[1] - t[0]) if len(t) > 1 else 1.0
    span = int(threshold("onset_window_s") / step)
    quiet, period = band.quiet, band.period_s
    before = y[max(0, i - span) : i]
    known = before[~np.isnan(before)]
    base = float(np.median(known[-30:])) if len(known) >= 5 else 0.0
    z = y - base if abs(base) <= quiet else y
    k = i
    while k > 0 and i - k < span and z[k - 1] > quiet:
        k -= 1
    if i - k >= span:
        k = _creeping(z, k, i, quiet)
    foot = float(t[k]) - step / 2.0
    ahead = z[i : i + span]
    plateau = float(np.nanquantile(ahead, PLATEAU_SHARE))
    high = min(threshold("onset_height") * band.on_above, BELOW_PLATEAU * plateau)
    top = i + int(np.argmax(np.nan_to_num(ahead) >= high))
    sharp = max(period, step) / ROOT_12
    # of a jump: it lies between the last quiet sample and the first loud one
    share = 0.0 if k + 1 >= len(z) or z[k + 1] <= 0 else float(np.clip(z[k] / z[k + 1], 0, 1))
    late = (period - step) / 2.0 if period > step else (1.0 - share) * step
    jump = Edge(foot + late, sharp)
    if (t[top] - t[k]) < max(FEW_TICKS * step, 1.5 * period):
        return jump
    reach = float(t[top] - t[k])
    lately = z[max(0, k - HINGE_BEFORE) : k]
    if bool(np.any(lately < -3.0 * quiet)):
        found = _through_zero(t, z, k, top, band)
    elif band.spacing > 0.0:
        steps = _by_levels(t, z, k, span, band)
        found = None if steps is None else (foot - steps[0], steps[1])
    else:
        found = _from_rest(t, z, k, top, band)
    if found is None:
        return jump
    begun = float(np.clip(found[0], foot - reach, foot + 0.5 * reach))
    return Edge(begun, float(np.hypot(found[1], sharp)))


def fall_edge(t: NDArray[np.float64], y: NDArray[np.float64], i: int, band: Band) -> Edge:
    """Find when a value came to rest at zero, after it was last seen to be on.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Middles of the ticks [s].
    y : ndarray of float64, shape (n,)
        The value; NaN where unknown [unit].
    i : int
        Last tick at which it is on [1].
    band : Band
        What counts as zero and what as on.

    Returns
    -------
    Edge
        When it came to rest.
    """
    mirrored = rise_edge(-t[::-1], y[::-1], len(t) - 1 - i, band)
    return Edge(-mirrored.t_s, mirrored.plus_minus_s)


def state_edge(channel: Channel, near: Edge) -> Edge:
    """Sharpen the edge of a state by the state's own samples.

    Parameters
    ----------
    channel : Channel
        The state.
    near : Edge
        Its edge on the clock.

    Returns
    -------
    Edge
        Half way between the last sample before and the first after the change.
    """
    if near.silence_s:
        return near
    turns = np.flatnonzero(np.diff(channel.values) != 0.0)
    if not len(turns):
        return near
    middles = (channel.t[turns] + channel.t[turns + 1]) / 2.0
    best = int(np.argmin(np.abs(channel.t[turns + 1] - near.t_s)))
    if abs(float(channel.t[turns[best] + 1]) - near.t_s) > 2.0:
        return near
    width = float(channel.t[turns[best] + 1] - channel.t[turns[best]])
    if width > max(1.5 * channel.period_s, 2.0):  # sent on change, or a sample was missed
        return Edge(float(channel.t[turns[best] + 1]), channel.period_s / ROOT_12)
    return Edge(float(middles[best]), width / ROOT_12)
