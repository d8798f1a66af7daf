"""Let the vehicles of each model learn from each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError, did_you_mean
from thawline.fleet.fleet import Learned, Shared
from thawline.fleet.pool import pool, setting
from thawline.fleet.scalars import pool_scalars, row_of, scalar_rows
from thawline.trends.trends import Trends
from thawline.warmup.mornings import between_mornings, readings_of
from thawline.warmup.prior import Prior, is_log
from thawline.warmup.warmup import Fitted

Array = NDArray[np.float64]
#: Levels that vehicles of a model share; others depend on where and how they are used.
SHARED = ("warming", "resistance")


def _fitted(part: Mapping[str, Any]) -> Fitted:
    mean, covariance, prior_mean, prior_covariance = (
        np.asarray(part[name], dtype=np.float64)
        for name in ("mean", "covariance", "prior_mean", "prior_covariance")
    )
    nothing = np.zeros_like(covariance)
    names = tuple(part["names"])
    return Fitted(names, mean, covariance, prior_mean, prior_covariance, nothing, 0.0)


def borrow_warm_ups(
    fits: Mapping[str, Sequence[Mapping[str, Any]]], models: Mapping[str, str]
) -> tuple[list[Learned], dict[str, dict[str, Any]], Shared]:
    """Pool warm-up parameters.

    Parameters
    ----------
    fits : mapping of str to sequence of mapping
        What ``work.warm`` gave of each vehicle's mornings.
    models : mapping of str to str
        Model of each vehicle.

    Returns
    -------
    learned : list of Learned
        Each parameter of each vehicle.
    priors : dict of str to dict
        A prior for each vehicle's next morning, for ``prior_of``.
    shared : Shared
        The same without what a vehicle told itself, and for vehicles that nobody has seen.
    """
    learned, priors, shared = list[Learned](), dict[str, dict[str, Any]](), Shared({}, {})
    for model in sorted(set(models.values())):
        vehicles = sorted(v for v in fits if models[v] == model and fits[v])
        parts = {v: [_fitted(p) for told in fits[v] for p in told["parts"]] for v in vehicles}
        every = [fit for v in vehicles for fit in parts[v]]
        names = tuple(sorted({name for fit in every for name in fit.names}))
        if not names:
            continue
        told = [readings_of(parts[v], names) for v in vehicles]
        mean0, variance0 = _believed(every, names)
        spread = np.full(len(names), setting("spread_warmup"))
        found = pool([one for one, _ in told], [pull for _, pull in told], mean0, variance0, spread)
        between = np.minimum(between_mornings(names), variance0)
        apart = np.diag(found.spread**2 + between)
        shared.models[model] = _prior(
            names, found.model_mean, found.model_covariance + apart, [fits[v] for v in vehicles]
        )
        for i, vehicle in enumerate(vehicles):
            priors[vehicle] = _prior(
                names, found.mean[i], found.covariance[i] + np.diag(between), [fits[vehicle]]
            )
            if len(vehicles) > 1:
                shared.vehicles[vehicle] = _prior(
                    names, found.others_mean[i], found.others_covariance[i] + apart,
                    [fits[v] for v in vehicles if v != vehicle],
                )  # fmt: skip
            for k, name in enumerate(names):
                own = _own(told[i][0], told[i][1], k, float(variance0[k]))
                count = sum(name in fit.names for fit in parts[vehicle])
                learned.append(row_of(vehicle, model, "warm-up", name, "", is_log(name), count, own,
                                    found, i, k))  # fmt: skip
    return learned, priors, shared


def _prior(
    names: Sequence[str],
    mean: Array,
    covariance: Array,
    fits: Sequence[Sequence[Mapping[str, Any]]],
) -> dict[str, Any]:
    """Lay a prior out as plain values, with the lumps that half of the mornings support."""
    lumps = [set(one["lumps"]) for each in fits for one in each if one["lumps"] is not None]
    kept = sorted({lump for one in lumps for lump in one
                   if 2 * sum(lump in other for other in lumps) >= len(lumps)})  # fmt: skip
    return {
        "names": list(names),
        "mean": mean.tolist(),
        "covariance": covariance.tolist(),
        "lumps": kept,
        "mornings": sum(map(len, fits)),
        "vehicles": len(fits),
    }


def _believed(fits: Sequence[Fitted], names: Sequence[str]) -> tuple[Array, Array]:
    """Give what vehicle files and common practice say: the least sure where they differ."""
    mean, variance = np.zeros(len(names)), np.zeros(len(names))
    for fit in fits:
        for i, name in enumerate(fit.names):
            at = list(names).index(name)
            if fit.prior_covariance[i, i] > variance[at]:
                mean[at], variance[at] = fit.prior_mean[i], fit.prior_covariance[i, i]
    return mean, variance


def _own(
    information: Array, pull: Array, k: int, believed_variance: float
) -> tuple[float, float] | None:
    """Read a parameter as the vehicle's own mornings tell it; None where they are blind."""
    values, vectors = np.linalg.eigh(information)
    sure = values > 1.0 / (100.0 * believed_variance)
    if not np.any(sure) or float(np.sum(vectors[k, ~sure] ** 2)) > 0.1:
        return None
    inverse = (vectors[:, sure] / values[sure]) @ vectors[:, sure].T
    return float((inverse @ pull)[k]), float(np.sqrt(inverse[k, k]))


def borrow_levels(trends: Sequence[Trends], models: Mapping[str, str]) -> list[Learned]:
    """Pool figures that cars of one model share, such as the pack's resistance.

    Parameters
    ----------
    trends : sequence of Trends
        Trends of each vehicle.
    models : mapping of str to str
        Model of each vehicle.

    Returns
    -------
    list of Learned
        Each figure of each vehicle of a model of which one is known at least.
    """
    rows = []
    for quantity in SHARED:
        own = dict[str, tuple[float, float, int] | None]()
        unit = ""
        for each in trends:
            own[each.vehicle] = None
            for one in each.trends:
                if one.quantity == quantity and one.level and one.level_sigma is not None:
                    relative = one.level_sigma / one.level
                    own[each.vehicle] = (float(np.log(one.level)), relative, one.mornings)
                    unit = one.unit
        pooled = pool_scalars(own, models, setting("spread_level"))
        rows += scalar_rows("level", quantity, unit, True, own, pooled)
    return rows


def prior_of(priors: Mapping[str, Mapping[str, Any]], vehicle: str) -> Prior:
    """Read a vehicle's prior, for ``warmup.fit``.

    Parameters
    ----------
    priors : mapping of str to mapping
        What a fleet learned: ``Fleet.priors``, or ``priors`` of the file ``priors.json``.
    vehicle : str
        The vehicle.

    Returns
    -------
    Prior
        What its own mornings and others of its model taught.

    Raises
    ------
    RequestError
        If the fleet has no such vehicle.
    """
    if vehicle not in priors:
        cure = did_you_mean(vehicle, priors) or f"there are {', '.join(sorted(priors))}"
        raise RequestError(f"the fleet has no fitted vehicle {vehicle!r}", cure=cure)
    kept = priors[vehicle]
    return Prior(
        tuple(kept["names"]),
        np.asarray(kept["mean"], dtype=np.float64),
        np.asarray(kept["covariance"], dtype=np.float64),
        tuple(kept["lumps"]),
        int(kept["mornings"]),
    )
