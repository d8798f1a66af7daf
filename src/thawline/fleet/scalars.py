"""Figures of vehicles, pooled one by one within each model."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from thawline.fleet.fleet import Learned
from thawline.fleet.pool import Pooled, pool


def row_of(
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
    """Lay out one figure of a vehicle, by itself and pooled.

    Parameters
    ----------
    vehicle, model, kind, name, unit : str
        What it is, see ``Learned``.
    logs : bool
        Whether it is the logarithm of a figure.
    mornings : int
        Mornings that tell it [1].
    own : tuple of float or None
        By itself, with its standard uncertainty [unit].
    found : Pooled
        What was pooled.
    i, k : int
        Place of the vehicle and of the figure in it [1].

    Returns
    -------
    Learned
        The row.
    """

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


def scalar_rows(
    kind: str,
    name: str,
    unit: str,
    logs: bool,
    own: Mapping[str, tuple[float, float, int] | None],
    pooled: Mapping[str, tuple[list[str], Pooled]],
) -> list[Learned]:
    """Lay out a figure of each vehicle, by itself and pooled within its model.

    Parameters
    ----------
    kind, name, unit : str
        What it is, see ``Learned``.
    logs : bool
        Whether it is the logarithm of a figure.
    own : mapping of str to tuple or None
        Each vehicle's figure [unit], its standard uncertainty [unit] and its mornings [1].
    pooled : mapping of str to tuple
        What ``pool_scalars`` gave.

    Returns
    -------
    list of Learned
        Each vehicle of a model of which one is known at least.
    """
    rows = []
    for model, (vehicles, found) in pooled.items():
        for i, vehicle in enumerate(vehicles):
            one = own[vehicle]
            count, alone = (0, None) if one is None else (one[2], (one[0], one[1]))
            rows.append(row_of(vehicle, model, kind, name, unit, logs, count, alone, found, i, 0))
    return rows


def pool_scalars(
    own: Mapping[str, tuple[float, float, int] | None],
    models: Mapping[str, str],
    spread: float,
) -> dict[str, tuple[list[str], Pooled]]:
    """Pool a figure of each vehicle, model by model.

    Parameters
    ----------
    own : mapping of str to tuple or None
        Each vehicle's figure [unit], its standard uncertainty [unit] and its mornings [1].
    models : mapping of str to str
        Model of each vehicle.
    spread : float
        How far vehicles of a model usually differ [unit].

    Returns
    -------
    dict of str to tuple
        Vehicles and what was pooled, by models of which one vehicle tells something at least.
    """
    pooled = {}
    for model in sorted({models[vehicle] for vehicle in own}):
        vehicles = sorted(vehicle for vehicle in own if models[vehicle] == model)
        told = [own[vehicle] for vehicle in vehicles]
        if not any(told):
            continue
        information = [np.array([[0.0 if one is None else one[1] ** -2.0]]) for one in told]
        pull = [np.array([0.0 if one is None else one[0] / one[1] ** 2]) for one in told]
        found = pool(information, pull, np.zeros(1), np.array([np.inf]), np.array([spread]))
        pooled[model] = (vehicles, found)
    return pooled
