"""What the cold hides from the display, and the energy that it leaves, by temperature."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.charge.counting import moments
from thawline.charge.learned import HiddenCurve
from thawline.charge.observed import Observed
from thawline.charge.rising import binned, interval, never_falling
from thawline.charge.settings import setting
from thawline.recording.recording import Channel

Array = NDArray[np.float64]


def hidden_moments(observed: Observed, shown: Channel, estimator: Channel) -> tuple[Array, Array]:
    """Take what is hidden at the moments at which the display changed.

    Parameters
    ----------
    observed : Observed
        The recording.
    shown, estimator : Channel
        Displayed and physical state of charge.

    Returns
    -------
    degC, hidden_pct : ndarray of float64
        Mean temperature of the pack [degC], and physical less displayed charge [percent].
    """
    times, levels, _ = moments(shown)
    fine, exact, _ = moments(estimator)
    if len(fine) < 2 or not len(times):
        return np.zeros(0), np.zeros(0)
    known = ~np.isnan(observed.mean_degC)
    if not np.any(known):
        return np.zeros(0), np.zeros(0)
    inside = (times >= estimator.t[0]) & (times <= estimator.t[-1])
    times, levels = times[inside], levels[inside]
    # the reading itself before its first change and after its last one
    at = np.concatenate(([estimator.t[0]], fine, [estimator.t[-1]]))
    pct = np.concatenate(([estimator.values[0]], exact, [estimator.values[-1]]))
    degC = np.interp(times, observed.t[known], observed.mean_degC[known])
    return degC, np.interp(times, at, pct) - levels


def hidden_curve(
    seen: Sequence[Observed],
    pairs: Sequence[tuple[Channel | None, Channel | None]],
    energy_kWh: float,
) -> HiddenCurve | None:
    """Learn what the cold hides.

    Parameters
    ----------
    seen : sequence of Observed
        The recordings.
    pairs : sequence of (Channel or None, Channel or None)
        Displayed and physical state of charge of each.
    energy_kWh : float
        Usable energy of the pack [kWh].

    Returns
    -------
    HiddenCurve or None
        None where no recording has both together with a temperature.
    """
    parts: list[tuple[Array, Array, NDArray[np.int64]]] = []
    for k, (observed, (shown, estimator)) in enumerate(zip(seen, pairs, strict=True)):
        if shown is None or estimator is None:
            continue
        degC, hidden = hidden_moments(observed, shown, estimator)
        parts.append((degC, hidden, np.full(len(degC), k, dtype=np.int64)))
    if not parts or sum(len(part[0]) for part in parts) < 3:
        return None
    degC = np.concatenate([part[0] for part in parts])
    hidden = np.concatenate([part[1] for part in parts])
    number = np.concatenate([part[2] for part in parts])
    x, y, weight = binned(degC, hidden, setting("hidden_bin_K"), 1)
    y = never_falling(y, weight, rising=False)

    def again(drawn: NDArray[np.int64]) -> Array:
        xs, ys, w = binned(degC[drawn], hidden[drawn], setting("hidden_bin_K"), 1)
        never = never_falling(ys, w, rising=False)
        return np.interp(x, xs, never, left=np.nan, right=np.nan)

    low, high = interval(number, setting("block_s"), again, y)
    least = setting("hidden_least_pct")
    shown_by = np.flatnonzero(y > least)
    slope = None
    if len(shown_by) > 2 and float(np.ptp(x[shown_by])) > setting("hidden_line_K"):
        slope = -float(np.polyfit(x[shown_by], y[shown_by], 1)[0])
    none_from = float(x[shown_by[-1] + 1]) if len(shown_by) and shown_by[-1] + 1 < len(x) else None
    if none_from is None and slope:
        # where the line of the warmest bins meets zero, if that is near
        reach = float(x[-1] + y[-1] / slope)
        none_from = reach if reach - x[-1] < setting("hidden_line_K") else None
    usable = energy_kWh * (1.0 - np.maximum(y, 0.0) / 100.0)
    return HiddenCurve(x, y, low, high, usable, slope, none_from, degC, hidden)
