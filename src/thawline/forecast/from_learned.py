"""Turn what ``charge`` learned of limits into what forecasts read."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from thawline.charge.learned import Learned, LimitCurve
from thawline.charge.limits_learned import learn_limit
from thawline.charge.observed import observe
from thawline.forecast.allowed import LearnedLimits, TemperatureLimit, usual_limit
from thawline.forecast.limits import learn
from thawline.forecast.settings import setting
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.vehicle.vehicle import Vehicle

#: A curve needs so many points above its threshold [1], over so many kelvins [K], to be of use;
#: knots are kept so far apart [K].
FEWEST, LEAST_K, APART_K = 3, 0.5, 1.0


def temperature_limit(curve: LimitCurve | None, vehicle: Vehicle) -> TemperatureLimit | None:
    """Turn a learned curve into a threshold with a slope and a bend.

    Parameters
    ----------
    curve : LimitCurve or None
        What was learned.
    vehicle : Vehicle
        The vehicle, for what is usual where the curve does not tell.

    Returns
    -------
    TemperatureLimit or None
        None where no recording shows the limit leave zero, or only what was achieved is known.
    """
    if curve is None or curve.threshold.degC is None or curve.origin != "limit signal":
        return None
    usual, at = usual_limit(vehicle, curve.what), curve.threshold.degC
    knots = _knots(curve, at)
    knots_K, knots_kW = knots or (usual.knots_K, usual.knots_kW)
    sigma = setting("slope_learned_sigma") if knots else usual.sigma
    count = curve.threshold.openings
    own = curve.threshold.plus_minus_K or 0.0
    weight = setting("learned_weight")
    prior = setting("learned_K") * np.sqrt(weight / (max(count, 1) - 1 + weight))
    return TemperatureLimit(
        at, float(np.hypot(own, prior)), knots_K, knots_kW, sigma, "learned", count
    )


def _knots(curve: LimitCurve, at_degC: float) -> tuple[tuple[float, ...], tuple[float, ...]] | None:
    """Thin the curve to about a knot per kelvin, each higher than the one before."""
    above, kW = curve.degC - at_degC, curve.kW
    rising = np.flatnonzero((above > 0.0) & (kW > 0.0))
    if len(rising) < FEWEST or float(np.ptp(above[rising])) < LEAST_K:
        return None
    x, y = above[rising], kW[rising]
    first = float(np.clip(y[0] - (y[1] - y[0]) / (x[1] - x[0]) * x[0], 0.0, y[0]))
    knots = [(0.0, first)]
    for i, (K, power) in enumerate(zip(x.tolist(), y.tolist(), strict=True)):
        far = K - knots[-1][0] >= APART_K or i == len(x) - 1
        if far and power > knots[-1][1]:
            knots.append((K, power))
    if len(knots) < 2:
        return None
    return tuple(K for K, _ in knots), tuple(power for _, power in knots)


def limits_from(
    learned: Learned, vehicle: Vehicle, before: LearnedLimits | None = None
) -> LearnedLimits:
    """Turn all that was learned of limits into what forecasts read.

    Parameters
    ----------
    learned : Learned
        What was learned.
    vehicle : Vehicle
        The vehicle.
    before : LearnedLimits, optional
        What the forecast learned itself, for habits that ``charge`` does not learn.

    Returns
    -------
    LearnedLimits
        Both limits by all recordings; habits as they were.
    """
    mine = LearnedLimits(
        temperature_limit(learned.regeneration, vehicle),
        temperature_limit(learned.charging, vehicle),
        heat_until_degC=None,
        heat_until_sd_K=0.0,
        heat_kW=None,
        flow_share=None,
        mornings=len(learned.recordings),
    )
    if before is None:
        return mine
    return replace(
        before,
        regeneration=mine.regeneration or before.regeneration,
        charging=mine.charging or before.charging,
    )


def learn_earlier_limits(recordings: Sequence[Recording]) -> LearnedLimits | None:
    """Learn limits and habits from earlier mornings: limits over all of them together.

    Parameters
    ----------
    recordings : sequence of Recording
        Earlier mornings of one vehicle, in the order of their start.

    Returns
    -------
    LearnedLimits or None
        Limits from curves over all mornings where they show them; where they don't, the
        first opening of each; None if there are no recordings.
    """
    mine = learn(recordings)
    if mine is None:
        return None
    vehicle = recordings[-1].vehicle
    seen = [observe(each, make_flows(each)) for each in recordings]
    regeneration, charging = (
        temperature_limit(learn_limit(seen, what), vehicle) for what in ("regeneration", "charging")
    )
    return replace(
        mine,
        regeneration=regeneration or mine.regeneration,
        charging=charging or mine.charging,
    )
