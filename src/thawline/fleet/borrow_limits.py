"""Let the vehicles of each model learn from each other what their packs allow.

Thresholds are pooled like any other figure. A curve is a software's: above its threshold a model's
is the median of its vehicles' curves, and how far they differ goes into its uncertainty, so that
vehicles of unlike software teach little.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.fleet.fleet import Learned, Shared
from thawline.fleet.pool import Pooled, setting
from thawline.fleet.scalars import pool_scalars, scalar_rows

Array = NDArray[np.float64]
Limits = Mapping[str, Mapping[str, Any]]
BOTH = ("charging", "regeneration")
#: Fewest points of a curve, the threshold counted [1].
FEWEST = 3


def _thresholds(limits: Limits, what: str) -> dict[str, tuple[float, float, int] | None]:
    own = dict[str, tuple[float, float, int] | None]()
    for vehicle, found in limits.items():
        limit = found.get(what)
        degC = None if limit is None else limit["from_degC"]
        own[vehicle] = None
        if limit is not None and degC is not None:
            sigma = max(limit["from_sigma_K"] or 0.0, setting("least_sigma_K"))
            own[vehicle] = (degC, sigma, limit["mornings"])
    return own


def borrow_limits(limits: Limits, models: Mapping[str, str]) -> tuple[list[Learned], Shared]:
    """Pool where limits leave zero and how they rise.

    Parameters
    ----------
    limits : mapping of str to mapping
        What ``work.allow`` gave of each vehicle.
    models : mapping of str to str
        Model of each vehicle.

    Returns
    -------
    learned : list of Learned
        Each threshold of each vehicle of a model of which one is seen at least.
    shared : Shared
        Both limits, without what a vehicle told itself, and for vehicles that nobody has seen.
    """
    rows, shared = list[Learned](), Shared({}, {})
    for what in BOTH:
        own = _thresholds(limits, what)
        pooled = pool_scalars(own, models, setting("spread_limit_K"))
        rows += scalar_rows("limit", f"{what}-from", "degC", False, own, pooled)
        for model, (vehicles, found) in pooled.items():
            curves = {v: c for v in vehicles if (c := _above(limits[v].get(what))) is not None}
            counts = {v: told[2] for v in vehicles if (told := own[v]) is not None}
            mean, covariance = found.model_mean, found.model_covariance
            told_all = _told(mean, covariance, found, counts, list(curves.values()))
            shared.models.setdefault(model, {})[what] = told_all
            for i, vehicle in enumerate(vehicles):
                if not np.isfinite(found.others_mean[i, 0]):
                    continue
                shared.vehicles.setdefault(vehicle, {})[what] = _told(
                    found.others_mean[i], found.others_covariance[i], found,
                    {v: n for v, n in counts.items() if v != vehicle},
                    [curve for v, curve in curves.items() if v != vehicle],
                )  # fmt: skip
    return rows, shared


def _told(
    mean: Array,
    covariance: Array,
    found: Pooled,
    counts: Mapping[str, int],
    curves: Sequence[tuple[Array, Array]],
) -> dict[str, Any]:
    above_K, kW, sigma = _middle(curves)
    return {
        "from_degC": float(mean[0]),
        "sd_K": float(np.hypot(found.spread[0], np.sqrt(covariance[0, 0]))),
        "above_K": above_K.tolist(),
        "kW": kW.tolist(),
        "sigma": sigma,
        "mornings": sum(counts.values()),
        "vehicles": len(counts),
    }


def _above(limit: Mapping[str, Any] | None) -> tuple[Array, Array] | None:
    """Give a vehicle's curve against what its coldest cell is above the threshold."""
    if limit is None or limit["from_degC"] is None or limit["origin"] != "limit signal":
        return None
    above = np.array(limit["degC"], dtype=np.float64) - float(limit["from_degC"])
    kW = np.array(limit["kW"], dtype=np.float64)
    rising = np.isfinite(kW) & (kW > 0.0) & (above > 0.0)
    return (above[rising], kW[rising]) if int(rising.sum()) >= FEWEST - 1 else None


def _middle(curves: Sequence[tuple[Array, Array]]) -> tuple[Array, Array, float]:
    """Give the median of curves, never falling, and how far they differ from it (log) [1]."""
    nothing = np.zeros(0)
    if not curves:
        return nothing, nothing, setting("spread_slope")
    step = setting("curve_step_K")
    grid = np.arange(0.0, max(float(x[-1]) for x, _ in curves) + step, step)
    each = np.array([_read(x, y, grid) for x, y in curves])
    seen = ~np.all(np.isnan(each), axis=0)
    grid, each = grid[seen], each[:, seen]
    kW = np.maximum.accumulate(np.nanmedian(each, axis=0))
    keep = np.concatenate([[True], np.diff(kW) > 0.0])
    off = np.log(np.maximum(each, setting("least_kW")) / np.maximum(kW, setting("least_kW")))
    apart = off[:, grid > 0.0]
    squares, held = float(np.nansum(apart**2)) / max(apart.shape[1], 1), setting(
        "spread_prior_vehicles"
    )  # fmt: skip
    sigma = np.sqrt((held * setting("spread_slope") ** 2 + squares) / (held + len(curves)))
    if int(keep.sum()) < FEWEST or grid[0] > 0.0:
        return nothing, nothing, float(sigma)
    return grid[keep], kW[keep], float(sigma)


def _read(x: Array, y: Array, grid: Array) -> Array:
    """Read a curve where it was seen, and at its threshold by its first slope."""
    rise = (y[1] - y[0]) / (x[1] - x[0]) if x[1] > x[0] else 0.0
    first = float(np.clip(y[0] - rise * x[0], 0.0, y[0]))
    at = np.interp(grid, np.append(0.0, x), np.append(first, y))
    return np.asarray(np.where(grid > x[-1], np.nan, at))
