"""Read off the recording itself how a limit grows with temperature."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits, TemperatureLimit, usual_limit
from thawline.forecast.limits import coldest_curve, coldest_step, knots_of, shown_by
from thawline.forecast.settings import setting
from thawline.story import names
from thawline.story.gates import Gate
from thawline.story.scene import Scene
from thawline.story.tell import Acts
from thawline.vehicle.vehicle import Vehicle

Array = NDArray[np.float64]
Knots = tuple[tuple[float, ...], tuple[float, ...]]


def with_today(limits: LearnedLimits | None, acts: Acts, vehicle: Vehicle) -> LearnedLimits | None:
    """Add what the recording itself shows of limits that are open already.

    Parameters
    ----------
    limits : LearnedLimits or None
        What earlier mornings taught.
    acts : Acts
        What was on and off until now.
    vehicle : Vehicle
        The vehicle.

    Returns
    -------
    LearnedLimits or None
        The same, with slopes as seen today where enough of them was seen.
    """
    found = limits or LearnedLimits(None, None, None, 0.0, None, None, 0)
    regeneration = _today(acts.scene, acts.regeneration_gate, found.regeneration, vehicle)
    charging = _today(acts.scene, acts.charge_gate, found.charging, vehicle)
    if limits is None and regeneration is None and charging is None:
        return None
    return replace(found, regeneration=regeneration, charging=charging)


def _today(
    scene: Scene, gate: Gate, before: TemperatureLimit | None, vehicle: Vehicle
) -> TemperatureLimit | None:
    if not gate.open:
        return before
    what = "charging" if gate.path == names.CHARGE_LIMIT else "regeneration"
    usual = before or usual_limit(vehicle, what)
    shown = shown_by(scene, gate, usual.from_degC)
    knots = None if shown is None else knots_of([shown])
    if shown is None or knots is None or knots[0][-1] < setting("seen_K"):
        if before is not None:
            return before
        at = usual if shown is None else replace(usual, from_degC=shown.from_degC)
        return _sloped(scene, gate, at) or (None if shown is None else at)
    if before is not None and before.knots_K[-1] > knots[0][-1]:
        return before  # earlier mornings saw more
    carried, sigma = carried_on(*knots, usual, shown.sd_K)
    return TemperatureLimit(shown.from_degC, usual.sd_K, *carried, sigma, "learned", 0)


def _sloped(scene: Scene, gate: Gate, usual: TemperatureLimit) -> TemperatureLimit | None:
    """Take the slope from a limit that was open all along: where it began doesn't matter."""
    part = slice((gate.open or ())[-1].first, (gate.open or ())[-1].last + 1)
    curve, limit = coldest_curve(scene.recording, scene.t[part]), scene.signals[gate.path][part]
    if curve is None:
        return None
    known = np.flatnonzero(~np.isnan(limit))
    if len(known) < 2:
        return None
    step = coldest_step(scene.recording)
    seen_K, more = (float(each[known[-1]] - each[known[0]]) for each in (curve, limit))
    if seen_K < max(setting("seen_K"), setting("seen_steps") * step) or more <= 0.0:
        return None
    (K, kW), sigma = carried_on(
        (0.0, seen_K), (0.0, more), usual, setting("outside_edges_share") * step
    )
    onward = (kW[-1] - kW[-2]) / (K[-1] - K[-2])
    return replace(usual, knots_K=(0.0, K[-1]), knots_kW=(0.0, onward * K[-1]), sigma=sigma)


def carried_on(
    knots_K: tuple[float, ...],
    knots_kW: tuple[float, ...],
    usual: TemperatureLimit,
    reading_K: float,
) -> tuple[Knots, float]:
    """Carry a slope on beyond what was seen: the less was seen, the more as it is usual.

    What was seen speaks for what comes up to the bend of a curve, and up to its reading;
    what is usual up to its spread. Both weigh by their variances, in the logarithm. A limit may
    open with a jump: where enough was seen, the slope is taken behind the first knot.

    Parameters
    ----------
    knots_K : tuple of float
        Temperatures above the beginning, from 0 on [K].
    knots_kW : tuple of float
        Powers seen there [kW].
    usual : TemperatureLimit
        What is believed beforehand.
    reading_K : float
        How surely the temperature is read [K].

    Returns
    -------
    tuple
        Knots that reach further, and the standard deviation of the slope's logarithm [1].
    """
    first = 1 if knots_K[-1] - knots_K[1] >= setting("seen_K") else 0
    over_K, rise_kW = knots_K[-1] - knots_K[first], knots_kW[-1] - knots_kW[first]
    seen_sd = float(np.hypot(np.sqrt(2.0) * reading_K / over_K, setting("bend_sigma")))
    weight = usual.sigma**2 / (usual.sigma**2 + seen_sd**2)
    seen = np.log(max(rise_kW / over_K, 1e-3))
    slope = float(np.exp(weight * seen + (1.0 - weight) * np.log(usual.slope_kW_per_K)))
    reach = setting("seen_reach_K")
    sigma = float(usual.sigma * seen_sd / np.hypot(usual.sigma, seen_sd))
    return ((*knots_K, knots_K[-1] + reach), (*knots_kW, knots_kW[-1] + reach * slope)), sigma
