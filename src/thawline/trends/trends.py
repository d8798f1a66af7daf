"""The trends of a vehicle."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Effect:
    """What a condition does to a quantity.

    Parameters
    ----------
    condition, title, unit : str
        The condition and its unit.
    at : float
        Where the quantity is normalised to: the middle of the mornings [unit].
    each, sigma : float
        Change of the quantity for one unit of the condition and its standard uncertainty: percent
        for quantities that are compared by their ratio, else the quantity's unit [unit].
    """

    condition: str
    title: str
    unit: str
    at: float
    each: float
    sigma: float


@dataclass(frozen=True, slots=True)
class Trend:
    """One quantity over the mornings of a vehicle.

    Parameters
    ----------
    quantity, title, unit : str
        What it is.
    mornings : int
        Mornings that tell it [1].
    days : float
        From the first of them to the last [d].
    level, level_sigma : float or None
        The quantity in the middle of the time, under the middle of the conditions [unit].
    change, change_sigma : float or None
        Change from the first morning to the last, conditions taken out: percent where quantities
        are compared by their ratio, else the quantity's unit; None where too few tell [unit].
    change_unit : str
        ``percent``, or the quantity's unit.
    scatter : float or None
        Standard deviation from morning to morning, likewise [unit].
    is_change : bool
        Whether scatter alone would rarely make such a change.
    effects : tuple of Effect
        What was taken out.
    not_taken_out : tuple of str
        Conditions that were not recorded on all of the mornings, or did not differ.
    sentence : str
        All in plain words.
    recordings : tuple of str
        The mornings.
    starts_at : ndarray of float64, shape (n,)
        When they began, since 1970-01-01 UTC [s].
    raw, normalised, line, low, high : ndarray of float64, shape (n,)
        The quantity as it was, with conditions taken out, and the fitted course with its interval
        of 95 % [unit].
    weights : ndarray of float64, shape (n,)
        How much each morning counts; far less than 1: an odd one [1].
    """

    quantity: str
    title: str
    unit: str
    mornings: int
    days: float
    level: float | None
    level_sigma: float | None
    change: float | None
    change_sigma: float | None
    change_unit: str
    scatter: float | None
    is_change: bool
    effects: tuple[Effect, ...]
    not_taken_out: tuple[str, ...]
    sentence: str
    recordings: tuple[str, ...]
    starts_at: Array
    raw: Array
    normalised: Array
    line: Array
    low: Array
    high: Array
    weights: Array


@dataclass(frozen=True, slots=True)
class Trends:
    """All trends of a vehicle.

    Parameters
    ----------
    vehicle, model : str
        The vehicle.
    mornings : int
        Recordings that were looked at [1].
    trends : tuple of Trend
        Its quantities.
    not_told : tuple of str
        Quantities that no recording tells, by title, and recordings that cannot be placed.
    price_per_kWh : float or None
        The tariff, in the person's currency [1/kWh].
    """

    vehicle: str
    model: str
    mornings: int
    trends: tuple[Trend, ...]
    not_told: tuple[str, ...]
    price_per_kWh: float | None = None
