"""Let the vehicles of each model learn from each other."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError, did_you_mean
from thawline.fleet.fleet import Learned
from thawline.fleet.pool import Pooled, pool, setting
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
) -> tuple[list[Learned], dict[str, dict[str, Any]]]:
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
    """
    learned, priors = list[Learned](), dict[str, dict[str, Any]]()
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
        for i, vehicle in enumerate(vehicles):
            lumps = [set(one["lumps"]) for one in fits[vehicle] if one["lumps"] is not None]
            kept = sorted({lump for one in lumps for lump in one
                           if 2 * sum(lump in other for other in lumps) >= len(lumps)})  # fmt: skip
            priors[vehicle] = {
                "names": list(names),
                "mean": found.mean[i].tolist(),
                "covariance": (found.covariance[i] + np.diag(between)).tolist(),
                "lumps": kept,
                "mornings": len(fits[vehicle]),
            }
            for k, name in enumerate(names):
                own = _own(told[i][0], told[i][1], k, float(variance0[k]))
                count = sum(name in fit.names for fit in parts[vehicle])
                learned.append(_row(vehicle, model, "warm-up", name, "", is_log(name), count, own,
                                    found, i, k))  # fmt: skip
    return learned, priors


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


def _row(
    vehicle: str,
    model: str,
    kind: str,
    name: str,
    unit: str,
    logs: bool,
    mornings: int,
    own: tuple[float, float] | None,
    found: Pooled,
    i: int,
    k: int,
) -> Learned:
    def back(value: float) -> float:
        return float(np.exp(value)) if logs else float(value)

    return Learned(
        vehicle, model, kind, name, unit, logs, mornings,
        None if own is None else back(own[0]),
        None if own is None else own[1],
        back(found.mean[i, k]),
        float(np.sqrt(found.covariance[i, k, k])),
        back(found.model_mean[k]),
        float(np.sqrt(found.model_covariance[k, k])),
        float(found.spread[k]),
    )  # fmt: skip


def borrow_limits(
    limits: Mapping[str, Mapping[str, Any]], models: Mapping[str, str]
) -> list[Learned]:
    """Pool the temperatures at which limits leave zero.

    Parameters
    ----------
    limits : mapping of str to mapping
        What ``work.allow`` gave of each vehicle.
    models : mapping of str to str
        Model of each vehicle.

    Returns
    -------
    list of Learned
        Each threshold of each vehicle of a model of which one is seen at least.
    """
    rows = []
    for what in ("charging", "regeneration"):
        own = dict[str, tuple[float, float, int] | None]()
        for vehicle, found in limits.items():
            limit = found.get(what)
            degC = None if limit is None else limit["from_degC"]
            own[vehicle] = None
            if limit is not None and degC is not None:
                sigma = max(limit["from_sigma_K"] or 0.0, setting("least_sigma_K"))
                own[vehicle] = (degC, sigma, limit["mornings"])
        rows += _scalars("limit", f"{what}-from", "degC", False, own, models, "spread_limit_K")
    return rows


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
        rows += _scalars("level", quantity, unit, True, own, models, "spread_level")
    return rows


def _scalars(
    kind: str,
    name: str,
    unit: str,
    logs: bool,
    own: Mapping[str, tuple[float, float, int] | None],
    models: Mapping[str, str],
    spread: str,
) -> list[Learned]:
    rows = []
    for model in sorted({models[vehicle] for vehicle in own}):
        vehicles = sorted(vehicle for vehicle in own if models[vehicle] == model)
        told = [own[vehicle] for vehicle in vehicles]
        if not any(told):
            continue
        information = [np.array([[0.0 if one is None else one[1] ** -2.0]]) for one in told]
        pull = [np.array([0.0 if one is None else one[0] / one[1] ** 2]) for one in told]
        found = pool(
            information, pull, np.zeros(1), np.array([np.inf]), np.array([setting(spread)])
        )
        for i, (vehicle, one) in enumerate(zip(vehicles, told, strict=True)):
            count, alone = (0, None) if one is None else (one[2], (one[0], one[1]))
            rows.append(_row(vehicle, model, kind, name, unit, logs, count, alone, found, i, 0))
    return rows


def prior_of(priors: Mapping[str, Mapping[str, Any]], vehicle: str) -> Prior:
    """Read a vehicle's prior, for ``warmup.fit``.

    Parameters
    ----------
    priors : mapping of str to mapping
        What a fleet learned: ``Fleet.priors``, or the file ``priors.json``.
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
