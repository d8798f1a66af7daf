"""What is believed of a car before its morning: from its file, and from earlier mornings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.vehicle.vehicle import Vehicle
from thawline.warmup.settings import Belief, belief, setting
from thawline.warmup.structure import Structure

Array = NDArray[np.float64]
PER_KILO = 1e-3
SECONDS_PER_MINUTE = 60.0


@dataclass(frozen=True, slots=True)
class Prior:
    """What earlier mornings of a vehicle taught.

    Parameters
    ----------
    names : tuple of str
        Parameters.
    mean : ndarray of float64, shape (p,)
        Means, of the logarithm where a parameter is positive [1].
    covariance : ndarray of float64, shape (p, p)
        Their covariance for a new morning [1].
    lumps : tuple of str
        Lumps that the mornings supported.
    mornings : int
        How many there were [1].
    """

    names: tuple[str, ...]
    mean: Array
    covariance: Array
    lumps: tuple[str, ...] = ()
    mornings: int = 0


def is_log(name: str) -> bool:
    """Tell whether a parameter is positive and handled by its logarithm.

    Parameters
    ----------
    name : str
        The parameter.

    Returns
    -------
    bool
        False for shares that may have either sign.
    """
    return name != "cabin.share"


def to_values(names: Sequence[str], z: Array) -> dict[str, Array]:
    """Turn the numbers that the fit works with into parameters.

    Parameters
    ----------
    names : sequence of str
        Parameters.
    z : ndarray of float64, shape (k, p)
        Logarithms, or values where a parameter may be negative [1].

    Returns
    -------
    dict of str to ndarray of float64, shape (k,)
        Values by name, in kJ/K, kW/K, s, K/kW or 1 [unit].
    """
    return {
        name: np.exp(z[:, i]) if is_log(name) else z[:, i].copy() for i, name in enumerate(names)
    }


def _scaled(name: str, by: float, spread: str | None = None) -> tuple[float, float]:
    known = belief(name)
    return known.value * by, belief(spread).sigma if spread else known.sigma


def _hot(name: str, vehicle: Vehicle) -> tuple[float, float]:
    """Believe of metal and coolant as one lump what they are together."""
    if name == "hot.loss":
        return vehicle_belief("metal.loss", vehicle)
    metal = vehicle_belief("metal.heat_capacity", vehicle)[0]
    coolant = vehicle_belief("coolant.heat_capacity", vehicle)[0]
    return metal + coolant, belief("hot.heat_capacity.spread").sigma


def vehicle_belief(name: str, vehicle: Vehicle, *, has_flow: bool = False) -> tuple[float, float]:
    """Say what a vehicle file, or common practice, says of a parameter.

    Parameters
    ----------
    name : str
        The parameter.
    vehicle : Vehicle
        The vehicle.
    has_flow : bool
        Whether a coolant flow is recorded: what the coolant carries is then known.

    Returns
    -------
    tuple of float
        Median [kJ/K, kW/K, s, K/kW or 1] and standard deviation, of the logarithm where the
        parameter is positive [1].
    """
    pack, units, coolant = vehicle.pack, vehicle.drive_units, vehicle.coolant
    energy, count = pack.usable_energy_kWh, float(units.count or 1)
    if name.startswith("hot"):
        return _hot(name, vehicle)
    if name == "pack.heat_capacity":
        if pack.heat_capacity_kJ_per_K is not None:
            return pack.heat_capacity_kJ_per_K, belief(f"{name}.stated").sigma
        return _scaled(name, energy)
    if name == "pack.loss":
        if pack.heat_loss_W_per_K is not None:
            return pack.heat_loss_W_per_K * PER_KILO, belief(f"{name}.stated").sigma
        return _scaled(name, energy * PER_KILO)
    if name == "metal.heat_capacity":
        if units.heat_capacity_kJ_per_K is not None:
            return units.heat_capacity_kJ_per_K * count, belief(f"{name}.stated").sigma
        return _scaled(name, count)
    if name == "coolant.heat_capacity" and coolant.volume_l is not None:
        return _scaled(f"{name}.stated", coolant.volume_l)
    if name == "coolant.carries" and has_flow:
        return _scaled(f"{name}.flow", setting("flow_reference_l_per_min") / SECONDS_PER_MINUTE)
    scale = {
        "metal.loss": count * PER_KILO,
        "metal_to_coolant.conductance": count * PER_KILO,
        "winding.rise": 1.0 / count,
    }
    return _scaled(name, scale.get(name, 1.0))


def prior_for(
    structure: Structure,
    vehicle: Vehicle,
    learned: Prior | None = None,
) -> tuple[Array, Array]:
    """Put together what is believed of a model's parameters.

    Parameters
    ----------
    structure : Structure
        The model's lumps.
    vehicle : Vehicle
        The vehicle.
    learned : Prior, optional
        What earlier mornings taught; it outranks the vehicle file.

    Returns
    -------
    tuple of ndarray of float64
        Mean, shape (p,), and covariance, shape (p, p), in the numbers that the fit works
        with [1].
    """
    names = structure.parameters
    said: list[tuple[float, float]] = []
    for name in names:
        if name == "heat.gain":
            known: Belief = belief(f"heat.gain.{structure.heat}")
            said.append((known.value, known.sigma))
        else:
            said.append(vehicle_belief(name, vehicle, has_flow=structure.has_flow))
    mean = np.array([np.log(v) if is_log(n) else v for n, (v, _) in zip(names, said, strict=True)])
    covariance = np.diag([sigma**2 for _, sigma in said])
    if learned is None:
        return mean, covariance
    shared = [name for name in names if name in learned.names]
    here = [names.index(name) for name in shared]
    there = [learned.names.index(name) for name in shared]
    mean[here] = learned.mean[there]
    covariance[np.ix_(here, here)] = learned.covariance[np.ix_(there, there)]
    return mean, covariance
