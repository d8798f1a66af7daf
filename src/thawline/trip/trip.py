"""A trip, and where its energy went."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.trip.begin import Begin
from thawline.trip.spread import Spread
from thawline.trip.trace import Trace

Array = NDArray[np.float64]
#: Where the energy goes, in the order of the account.
LINES = (
    "aero",
    "rolling",
    "gradient",
    "motion",
    "drive-losses",
    "friction-brakes",
    "cabin",
    "auxiliaries",
    "cell-resistance",
    "not-delivered",
)


@dataclass(frozen=True, slots=True)
class Course:
    """How a trip went, over time.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times since the beginning [s].
    coldest_degC : ndarray of float64, shape (3, n)
        Coldest cell: 10, 50 and 90 percent [degC].
    limit_kW : ndarray of float64, shape (3, n)
        Regeneration that is allowed, likewise [kW].
    cabin_degC : ndarray of float64, shape (3, n)
        Cabin air, likewise [degC].
    """

    t: Array
    coldest_degC: Array
    limit_kW: Array
    cabin_degC: Array


@dataclass(frozen=True, slots=True)
class Trip:
    """A trip.

    Parameters
    ----------
    car : str
        Name of the car.
    trace : Trace
        The road.
    begin : Begin
        How warm it began.
    km : float
        Length [km].
    lines : mapping of str to Spread
        Where the energy went, by ``LINES``; their sum is ``taken`` [kWh].
    taken : Spread
        Energy out of the cells, less what regeneration put back [kWh].
    regenerated, could_regenerate : Spread
        What regeneration gave back at the terminals, and what it could have given with the
        pack warm [kWh].
    regeneration_share : Spread
        What was given back, over all that was taken before [1].
    kWh_per_100km : Spread
        Consumption [kWh/(100 km)].
    range_km : Spread
        How far a full pack would reach on roads like this one [km].
    money : Spread
        What it costs to charge what was taken [currency].
    residual_share : float
        Largest gap, over the members, between energy out of the cells and the sum of the
        lines, over all that was taken [1].
    ends_degC : mapping of str to Spread
        ``coldest``, ``pack`` and ``cabin`` at the end [degC].
    course : Course
        How it went.
    members : mapping of str to ndarray of float64, shape (k,)
        Every figure above, member by member, by its line or name.
    notes : tuple of str
        What to know about it, in plain words.
    """

    car: str
    trace: Trace
    begin: Begin
    km: float
    lines: Mapping[str, Spread]
    taken: Spread
    regenerated: Spread
    could_regenerate: Spread
    regeneration_share: Spread
    kWh_per_100km: Spread
    range_km: Spread
    money: Spread
    residual_share: float
    ends_degC: Mapping[str, Spread]
    course: Course
    members: Mapping[str, Array]
    notes: tuple[str, ...]
