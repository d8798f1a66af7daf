"""Energies with their uncertainties, from powers taken apart into their sensors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.sensed import Sensed
from thawline.ledger.sensors import Sensors
from thawline.ledger.uncertain import NOTHING, UFloat, around, cause

#: Seconds in an hour [s].
HOUR_S = 3600.0


@dataclass(frozen=True, slots=True)
class Energy:
    """An energy.

    Parameters
    ----------
    kWh : UFloat
        The energy with its uncertainty [kWh].
    bridged_kWh : float
        The part that stands for times without data [kWh].
    """

    kWh: UFloat
    bridged_kWh: float = 0.0


def energy(power: Sensed, sensors: Sensors, where: NDArray[np.bool_] | None = None) -> Energy:
    """Add up a power.

    Parameters
    ----------
    power : Sensed
        The power.
    sensors : Sensors
        The causes of error; energies made from one sensor share them.
    where : ndarray of bool, shape (n,), optional
        The ticks to add up; all if not given.

    Returns
    -------
    Energy
        The energy over those ticks.
    """
    mask = np.ones(len(power.kW), dtype=bool) if where is None else where
    per_tick = power.step_s / HOUR_S
    total: UFloat = around(float(np.sum(power.kW[mask])) * per_tick, 0.0)
    for path, part in power.by_gain.items():
        total = total + sensors.gain[path] * (float(np.sum(part[mask])) * per_tick)
    for path, part in power.by_zero.items():
        total = total + sensors.zero[path] * (float(np.sum(part[mask])) * per_tick)
    total = total + cause(float(np.sum(power.common_kW[mask])) * per_tick)
    count = int(np.count_nonzero(mask))
    noise = power.noise_kW * float(np.sqrt(count)) * per_tick
    squares = noise**2 + (power.between_kWh**2 * count / max(len(mask), 1))
    bridged = 0.0
    for hole in power.holes:
        inside = mask[hole.first : hole.last]
        ticks = int(np.count_nonzero(inside))
        squares += (hole.sigma_kW * ticks * per_tick) ** 2
        bridged += float(np.sum(power.kW[hole.first : hole.last][inside])) * per_tick
    return Energy(total + cause(float(np.sqrt(squares))), bridged)


def nothing() -> Energy:
    """Give no energy at all.

    Returns
    -------
    Energy
        Exactly zero.
    """
    return Energy(NOTHING)
