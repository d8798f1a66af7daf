"""Take from others of a vehicle's model what its own earlier mornings do not tell.

What counts, in this order: own earlier mornings; others of the model, as a fleet's run learned
from them; the vehicle file; common practice, wider.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

import numpy as np

from thawline.forecast.allowed import LearnedLimits, TemperatureLimit, usual_limit
from thawline.forecast.settings import setting
from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.prior import Prior

#: Fewest points of a curve, its threshold counted [1].
FEWEST = 3


def prior_of_model(told: Mapping[str, Any] | None) -> Prior | None:
    """Read the warm-up model's prior.

    Parameters
    ----------
    told : mapping or None
        What others of the model taught, as plain values.

    Returns
    -------
    Prior or None
        For a vehicle of which no morning is known; None where none of the model is.
    """
    kept = None if told is None else told.get("warm_up")
    if not kept:
        return None
    return Prior(
        tuple(map(str, kept["names"])),
        np.asarray(kept["mean"], dtype=np.float64),
        np.asarray(kept["covariance"], dtype=np.float64),
        tuple(map(str, kept["lumps"])),
        int(kept["mornings"]),
    )


def limits_with_model(
    own: LearnedLimits | None, told: Mapping[str, Any] | None, vehicle: Vehicle
) -> LearnedLimits | None:
    """Fill in limits that no own morning has shown.

    Parameters
    ----------
    own : LearnedLimits or None
        What earlier mornings of the vehicle taught.
    told : mapping or None
        What others of the model taught, as plain values.
    vehicle : Vehicle
        The vehicle, for what is usual where no curve is known.

    Returns
    -------
    LearnedLimits or None
        Own limits where there are any, the model's where there are not.
    """
    limits = {} if told is None else told.get("limits") or {}
    found = own or LearnedLimits(None, None, None, 0.0, None, None, 0)
    regeneration, charging = (
        getattr(found, what) or _limit(limits.get(what), what, vehicle)
        for what in ("regeneration", "charging")
    )
    if own is None and regeneration is None and charging is None:
        return None
    return replace(found, regeneration=regeneration, charging=charging)


def _limit(kept: Mapping[str, Any] | None, what: str, vehicle: Vehicle) -> TemperatureLimit | None:
    if not kept:
        return None
    usual = usual_limit(vehicle, what)
    knots_K, knots_kW, sigma = usual.knots_K, usual.knots_kW, usual.sigma
    if len(kept["above_K"]) >= FEWEST:
        knots_K, knots_kW = (tuple(map(float, kept[name])) for name in ("above_K", "kW"))
        sigma = float(np.hypot(kept["sigma"], setting("slope_learned_sigma")))
    sd_K = float(np.hypot(kept["sd_K"], setting("learned_K")))
    return TemperatureLimit(
        float(kept["from_degC"]), sd_K, knots_K, knots_kW, sigma, "model", int(kept["mornings"])
    )
