"""Place the passage of a level in noisy readings, by lines laid through them."""

from __future__ import annotations

import numpy as np

from thawline.story.stretch import ROOT_12
from thawline.story.trace import Trace

#: At least and at most so far beside a passage samples in noise are looked at [s].
LEAST_BESIDE_S, MOST_BESIDE_S = 8.0, 120.0
#: Where a step of the sensor takes longer than that, this far at most [s].
AT_MOST_S = 600.0
#: Lines are laid anew about the passage that they found, so often at most [1].
RECENTRED = 4
#: The flatter half of a line counts with this share of the whole line's slope at least [1].
FLATTEST = 0.25


def _rounding(trace: Trace) -> float:
    """Give by how much means of rounded readings may be off: less, the more noise dithers them.

    The mean of rounded readings swings about the truth once per step, by
    ``step / pi * exp(-2 (pi sigma / step)^2)`` [1].

    References
    ----------
    .. [1] B. Widrow, I. Kollar, Quantization Noise, Cambridge University Press, 2008: the
       first harmonic of a uniform quantiser's mean error (from memory).
    """
    if trace.step <= 0.0:
        return 0.0
    squared = max((trace.raw_noise / trace.step) ** 2 - 1.0 / ROOT_12**2, 0.0)
    return float(trace.step / np.pi / np.sqrt(2.0) * np.exp(-2.0 * np.pi**2 * squared))


def _line_within(
    trace: Trace, level: float, about_s: float, half_s: float
) -> tuple[float, float, float] | None:
    """Fit a line to the samples beside an instant.

    Gives when it meets a level, how surely, and how steep it is.
    """
    low, high = np.searchsorted(trace.t, (about_s - half_s, about_s + half_s))
    t, v = trace.t[low:high], trace.raw[low:high]
    if len(t) < 3:
        return None
    centre = float(t.mean())
    steep, intercept = np.polyfit(t - centre, v, 1)
    if steep <= 0.0:
        return None
    noise = 2.0 * trace.raw_noise / np.sqrt(len(t))
    steps = 1.0 + 2.0 * half_s * float(steep) / max(trace.step, 1e-9)
    # where a warming comes to rest its flatter half tells how surely
    halves = [
        np.polyfit(t[part], v[part], 1)[0]
        for part in (t <= centre, t >= centre)
        if np.count_nonzero(part) >= 3
    ]
    least = max(min([steep, *halves]), FLATTEST * steep)
    unsure = float(np.hypot(noise, _rounding(trace) / steps) / least)
    return centre + float((level - intercept) / steep), unsure, float(steep)


def _by_line(trace: Trace, level: float, about_s: float) -> tuple[float, float] | None:
    """Fit lines over wider and wider stretches, as long as they agree within their noise.

    A wider stretch is surer in noise, a narrower one where the temperature bends. It reaches
    a step of the sensor to either side, if it warms slowly.
    """
    half = max(LEAST_BESIDE_S, 2.5 * trace.period_s)
    found, moved = _line_within(trace, level, about_s, half), 0.0
    while found is None or half < min(max(MOST_BESIDE_S, trace.step / found[2]), AT_MOST_S):
        half *= 1.5
        wider = _line_within(trace, level, about_s, half)
        if found is None and half < MOST_BESIDE_S:
            found = wider
            continue
        if wider is None or found is None or abs(wider[0] - found[0]) > found[1]:
            break
        moved = abs(wider[0] - found[0])
        found = wider
    return None if found is None else (found[0], float(np.hypot(found[1], moved)))


def fitted(
    trace: Trace, level: float, about_s: float, below_s: float, above_s: float
) -> tuple[float, float] | None:
    """Find when a temperature in noise passes a level.

    Parameters
    ----------
    trace : Trace
        The readings.
    level : float
        The level [unit].
    about_s : float
        Where to begin to look [s].
    below_s, above_s : float
        When it was surely below, and surely above [s].

    Returns
    -------
    tuple of float or None
        When, and its standard uncertainty [s]; None if no line rises there.
    """
    line = _by_line(trace, level, about_s)
    for _ in range(RECENTRED):  # a bent warming passes elsewhere than a straight one
        if line is None or not below_s <= line[0] <= above_s:
            break
        again = _by_line(trace, level, line[0])
        if again is None or abs(again[0] - line[0]) <= trace.period_s:
            break
        line = again[0], float(np.hypot(again[1], (again[0] - line[0]) / 2.0))
    return line
