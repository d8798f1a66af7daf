"""Energy and cost of a morning: what supply and pack give, and where it goes."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.under import Programme
from thawline.whatif.charging import SECONDS, Feeding

Array = NDArray[np.float64]


def drawn_kW(feeding: Feeding, done: Programme, charge_kW: Array) -> tuple[Array, Array]:
    """Split loads and charging between supply and pack: the supply first.

    Parameters
    ----------
    feeding : Feeding
        What feeds the car.
    done : Programme
        Heat and cabin.
    charge_kW : ndarray of float64, shape (n, k)
        Charging power at the pack [kW].

    Returns
    -------
    tuple of ndarray of float64, shape (n, k)
        Power drawn from the supply, and what the pack adds [kW].
    """
    loads = (done.drive_kW + done.heater_kW + done.cabin_kW + feeding.other_kW)[:, None]
    passed = np.minimum(loads + charge_kW, feeding.given_kW[:, None])
    return passed / feeding.efficiency, np.maximum(loads - passed, 0.0)


def net_kW(feeding: Feeding, done: Programme, charge_kW: Array) -> Array:
    """Tell what goes into the pack, less what it adds.

    Parameters
    ----------
    feeding : Feeding
        What feeds the car.
    done : Programme
        Heat and cabin.
    charge_kW : ndarray of float64, shape (n, k)
        Charging power at the pack [kW].

    Returns
    -------
    ndarray of float64, shape (n, k)
        Power into the pack [kW].
    """
    return np.asarray(charge_kW - drawn_kW(feeding, done, charge_kW)[1])


def energies(feeding: Feeding, done: Programme, charge_kW: Array, until: int) -> dict[str, float]:
    """Sum up a morning: what came from supply and pack is what went into everything else.

    Parameters
    ----------
    feeding : Feeding
        What feeds the car.
    done : Programme
        Heat and cabin.
    charge_kW : ndarray of float64, shape (n, k)
        Charging power at the pack [kW].
    until : int
        Steps that count [1].

    Returns
    -------
    dict of str to float
        ``pack-heating``, ``cabin-heating``, ``other-loads``, ``charger-loss``, ``into-pack``,
        ``from-supply`` and ``from-pack``: means over the members [kWh].
    """
    drawn, helped = drawn_kW(feeding, done, charge_kW)
    rows = {
        "pack-heating": done.drive_kW + done.heater_kW,
        "cabin-heating": done.cabin_kW,
        "other-loads": feeding.other_kW,
        "charger-loss": (1.0 - feeding.efficiency) * drawn.mean(axis=1),
        "into-pack": charge_kW.mean(axis=1),
        "from-supply": drawn.mean(axis=1),
        "from-pack": helped.mean(axis=1),
    }
    hours = done.step_s / SECONDS
    return {name: float(row[:until].sum() * hours) for name, row in rows.items()}


def cost_of(energy_kWh: Mapping[str, float], efficiency: float, price_per_kWh: float) -> float:
    """Tell what a morning costs, apart from what it leaves in the pack.

    Parameters
    ----------
    energy_kWh : mapping of str to float
        Its energies [kWh].
    efficiency : float
        Share of the supply's power that reaches the direct-current side [1].
    price_per_kWh : float
        Price [currency/kWh].

    Returns
    -------
    float
        The supply's energy, and what the pack lost or gained at what charging it costs
        [currency].
    """
    lost = energy_kWh["from-pack"] - energy_kWh["into-pack"]
    return price_per_kWh * (energy_kWh["from-supply"] + lost / efficiency)
