"""Find when a power, or any value that rests at zero, is on."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.quantities import converter
from thawline.recording.flows import Flow
from thawline.story.onset import Band, fall_edge, noise_of, rise_edge
from thawline.story.scene import Scene
from thawline.story.story import Span
from thawline.story.stretch import Stretch
from thawline.story.stretches import Rule, stretches, two_states
from thawline.story.thresholds import threshold
from thawline.story.told import mean_over

#: The noise band is at most this share of the on threshold [1].
QUIET_AT_MOST = 0.9
#: Half a step and a little: a reading within it of zero is zero [1].
HALF_STEP = 0.55
#: Dithering is judged between means of this many ticks [1].
DITHER_TICKS = 5
#: It stays below this many of the least thresholds; what is larger are pulses [1].
DITHER_AT_MOST = 4.0


def _unrest(values: NDArray[np.float64], least: float) -> float:
    """Estimate noise from tick to tick, and the slower dithering of a power about zero."""
    whole = len(values) - len(values) % DITHER_TICKS
    blocks = values[:whole].reshape(-1, DITHER_TICKS).mean(axis=1)
    about_zero = np.where(np.abs(blocks) < DITHER_AT_MOST * least, blocks, np.nan)
    return max(noise_of(values), noise_of(about_zero))


def band_of(
    values: NDArray[np.float64], least: float, resolution: float, offset: float, period_s: float
) -> Band:
    """Set thresholds by a value's own noise and steps.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        The value on the clock; NaN where unknown [unit].
    least : float
        Lowest on threshold that makes sense [unit].
    resolution : float
        Smallest step of the sensor [unit].
    offset : float
        Standard uncertainty of its zero [unit].
    period_s : float
        Time between samples of the slowest signal behind it [s].

    Returns
    -------
    Band
        The thresholds.
    """
    noise = _unrest(values, least)
    on_above = max(
        least,
        threshold("noise_factor") * noise,
        threshold("resolution_factor") * resolution,
        2.0 * offset,
    )
    off_below = max(threshold("off_share") * on_above, min(HALF_STEP * resolution, on_above))
    quiet = max(3.0 * noise, HALF_STEP * resolution, 0.1 * least, offset)
    quiet = min(quiet, QUIET_AT_MOST * on_above)
    spacing = max(resolution, quiet) if resolution >= noise * np.sqrt(12.0) else 0.0
    return Band(on_above, off_below, quiet, period_s, spacing)


def _step_kW(scene: Scene, flow: Flow) -> float:
    """Give the step that a power shows, from the steps of its signals."""
    there = [scene.recording.channels[p] for p in flow.signals if p in scene.recording.channels]
    volts = [float(np.median(c.values)) for c in there if c.unit == "V" and len(c.values)]
    steps = []
    for channel in there:
        if channel.unit in ("W", "kW"):
            steps.append(channel.resolution * converter(channel.unit, "kW")[0])
        elif channel.unit == "A" and volts:
            steps.append(channel.resolution * max(volts) / 1e3)
    return max(steps, default=0.0)


def power_band(scene: Scene, flow: Flow, least_kW: float) -> Band:
    """Set thresholds for a power by the signals behind it.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    flow : Flow
        The power.
    least_kW : float
        Lowest on threshold that makes sense [kW].

    Returns
    -------
    Band
        The thresholds.
    """
    resting = flow.sigma_kW[np.abs(np.nan_to_num(flow.kW, nan=np.inf)) < least_kW]
    offset = float(np.median(resting)) if len(resting) else 0.0
    return band_of(flow.kW, least_kW, _step_kW(scene, flow), offset, scene.period_s(flow.signals))


def signal_band(scene: Scene, path: str, least: float) -> Band:
    """Set thresholds for a signal.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    path : str
        The signal.
    least : float
        Lowest on threshold that makes sense [unit].

    Returns
    -------
    Band
        The thresholds.
    """
    channel = scene.channel(path)
    return band_of(scene.signals[path], least, channel.resolution, 0.0, scene.period_s((path,)))


def sharpened(
    t: NDArray[np.float64], values: NDArray[np.float64], stretch: Stretch, band: Band
) -> Stretch:
    """Move the ends of a stretch to where the value left zero and came back to it.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Middles of the ticks [s].
    values : ndarray of float64, shape (n,)
        The value on the clock [unit].
    stretch : Stretch
        The stretch as thresholds saw it.
    band : Band
        The thresholds.

    Returns
    -------
    Stretch
        The same with sharper ends.
    """
    begins, ends = stretch.begins, stretch.ends
    if begins is not None and not begins.silence_s:
        begins = rise_edge(t, values, stretch.first, band)
    if ends is not None and not ends.silence_s:
        ends = fall_edge(t, values, stretch.last, band)
    return replace(stretch, begins=begins, ends=ends)


def on_stretches(
    scene: Scene,
    values: NDArray[np.float64],
    band: Band,
    rule: Rule,
    never: NDArray[np.bool_] | None = None,
) -> tuple[Stretch, ...]:
    """Find when a value is on, with sharp ends.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    values : ndarray of float64, shape (n,)
        The value on the clock; NaN where unknown [unit].
    band : Band
        Thresholds.
    rule : Rule
        Hold times.
    never : ndarray of bool, shape (n,), optional
        Where it cannot be on.

    Returns
    -------
    tuple of Stretch
        In order of time.
    """
    state = two_states(values, band.on_above, band.off_below)
    rough = stretches(scene.t, scene.step_s, state, rule, never)
    return tuple(sharpened(scene.t, values, stretch, band) for stretch in rough)


def rule_of(kind: str) -> Rule:
    """Look up the hold times of a lane.

    Parameters
    ----------
    kind : str
        First part of the rows' names in ``thresholds.csv``.

    Returns
    -------
    Rule
        The hold times.
    """
    return Rule(
        threshold(f"{kind}_blip_s"), threshold(f"{kind}_bridge_s"), threshold(f"{kind}_least_s")
    )


def _cut(
    begin: float, end: float, silences: list[tuple[float, float]]
) -> list[tuple[float, float]]:
    parts = [(begin, end)]
    for low, high in silences:
        cut = []
        for a, b in parts:
            if high <= a or low >= b:
                cut.append((a, b))
                continue
            cut += [(x, y) for x, y in ((a, low), (high, b)) if y > x]
        parts = cut
    return parts


def _silences(scene: Scene, values: NDArray[np.float64] | None) -> list[tuple[float, float]]:
    """List where nothing at all was recorded, or the lane's own signal was silent for long."""
    found = [(gap.from_s, gap.to_s) for gap in scene.recording.gaps]
    if values is None:
        return found
    unknown = np.concatenate(([False], np.isnan(values), [False]))
    turns = np.flatnonzero(np.diff(unknown.astype(np.int8)))
    half = scene.step_s / 2.0
    for first, after in zip(turns[::2], turns[1::2], strict=True):
        if (after - first) * scene.step_s > threshold("patch_s"):
            found.append((float(scene.t[first]) - half, float(scene.t[after - 1]) + half))
    return found


def spans_of(
    scene: Scene,
    lane: str,
    stretch: Stretch,
    values: NDArray[np.float64] | None,
    because: str,
) -> list[Span]:
    """Make spans of a stretch, cut where nothing was recorded.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    lane : str
        The lane.
    stretch : Stretch
        When.
    values : ndarray of float64 or None
        What the spans' levels are the means of [kW or l/min].
    because : str
        What was going on, in one sentence.

    Returns
    -------
    list of Span
        The spans.
    """
    half, duration = scene.step_s / 2.0, scene.recording.duration_s
    begin, end = float(scene.t[stretch.first]) - half, float(scene.t[stretch.last]) + half
    if stretch.begins is not None and not stretch.begins.silence_s:
        begin = stretch.begins.t_s
    if stretch.ends is not None and not stretch.ends.silence_s:
        end = stretch.ends.t_s
    begin = min(max(begin, 0.0), duration)
    end = min(max(end, begin), duration)
    return [
        Span(lane, a, b, mean_over(values, scene.tick(a), scene.tick(b)), because)
        for a, b in _cut(begin, end, _silences(scene, values))
    ]
