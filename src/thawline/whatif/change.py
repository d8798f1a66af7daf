"""What is changed, and what is found."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError

Array = NDArray[np.float64]
#: Furthest from the recording that its model can be asked about [K]; most drive units [1].
FURTHEST_K, MOST_UNITS = 30.0, 8
#: Coldest and warmest garage [degC].
WARMEST_DEGC = 40.0


@dataclass(frozen=True, slots=True)
class Change:
    """What is otherwise than on the morning that was recorded.

    Parameters
    ----------
    colder_K : float
        How much colder air and car are; negative: warmer [K].
    supply_kW : float or None
        Ceiling of the supply; None: as it was [kW].
    no_cabin : bool
        Whether the cabin's heating is left off.
    drive_units : int or None
        Drive units that heat; None: as it was [1].
    garage_degC : float or None
        Temperature of car and air, as in a garage; None: as it was [degC].
    """

    colder_K: float = 0.0
    supply_kW: float | None = None
    no_cabin: bool = False
    drive_units: int | None = None
    garage_degC: float | None = None


def check_change(change: Change) -> None:
    """See that a change can be.

    Parameters
    ----------
    change : Change
        The change.

    Raises
    ------
    RequestError
        If it cannot, or nothing is changed.
    """
    if change == Change():
        raise RequestError("nothing is changed", cure="give for instance --colder 10")
    if not abs(change.colder_K) <= FURTHEST_K:
        what = f"colder (={change.colder_K:g}) must be in [-{FURTHEST_K:g}, {FURTHEST_K:g}] K"
        raise RequestError(what, cure="a model is not to be believed so far from its recording")
    if change.garage_degC is not None:
        if change.colder_K:
            raise RequestError(
                "a garage and colder air are both given",
                cure="give --garage or --colder, not both",
            )
        if not abs(change.garage_degC) <= WARMEST_DEGC:
            what = f"garage (={change.garage_degC:g}) must be in "
            what += f"[-{WARMEST_DEGC:g}, {WARMEST_DEGC:g}] degC"
            raise RequestError(what, cure="give degrees Celsius, such as 8")
    if change.supply_kW is not None and not 0.0 <= change.supply_kW < np.inf:
        what = f"supply (={change.supply_kW:g}) must be 0 kW or more"
        raise RequestError(what, cure="give kilowatts, such as 2.4")
    if change.drive_units is not None and not 1 <= change.drive_units <= MOST_UNITS:
        what = f"drive units (={change.drive_units}) must be in [1, {MOST_UNITS}]"
        raise RequestError(what, cure="give how many heat at standstill")


@dataclass(frozen=True, slots=True)
class Comes:
    """When a turning point comes.

    Parameters
    ----------
    kind : str
        Its kind.
    p10_s, p50_s, p90_s : float or None
        Quantiles, since the recording's start; None: not within the time looked at [s].
    never : float
        Chance that it does not come within the time looked at [1].
    """

    kind: str
    p10_s: float | None
    p50_s: float | None
    p90_s: float | None
    never: float


@dataclass(frozen=True, slots=True)
class Side:
    """One of the two mornings.

    Parameters
    ----------
    coldest_degC : ndarray of float64, shape (3, n)
        Coldest cell: 10, 50 and 90 percent [degC].
    cabin_degC : ndarray of float64, shape (3, n) or None
        Cabin air; None where it is not recorded [degC].
    heat_kW : ndarray of float64, shape (n - 1,)
        Heat for the pack [kW].
    charge_kW : ndarray of float64, shape (n - 1,)
        Charging power at the pack, mean over the sample [kW].
    comes : tuple of Comes
        Turning points.
    energy_kWh : mapping of str to float
        Where it went: ``pack-heating``, ``cabin-heating``, ``other-loads``, ``charger-loss``,
        ``into-pack``; where it came from: ``from-supply``, ``from-pack`` [kWh].
    cost : float
        What that costs, apart from what is left in the pack [currency].
    """

    coldest_degC: Array
    cabin_degC: Array | None
    heat_kW: Array
    charge_kW: Array
    comes: tuple[Comes, ...]
    energy_kWh: Mapping[str, float]
    cost: float


@dataclass(frozen=True, slots=True)
class WhatIf:
    """A morning as the model has it, against the morning as it would have been.

    Parameters
    ----------
    recording_id : str
        The recording.
    change : Change
        What is changed.
    t : ndarray of float64, shape (n,)
        Times since the recording's start [s].
    before, after : Side
        The two mornings.
    verdict : str
        What to think of the fit.
    assumes : tuple of str
        What is taken for granted.
    """

    recording_id: str
    change: Change
    t: Array
    before: Side
    after: Side
    verdict: str
    assumes: tuple[str, ...]
