"""Two trips of the same cars on the same road: what the colder beginning costs."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from thawline.errors import RequestError
from thawline.trip.spread import Spread, spread_of
from thawline.trip.trip import LINES, Trip


@dataclass(frozen=True, slots=True)
class Against:
    """What leaving cold costs on the road.

    Parameters
    ----------
    kWh : Spread
        More energy out of the cells [kWh].
    km_of_range : Spread
        That energy in kilometres of road, at the warmed car's consumption [km].
    range_share : Spread
        Part of the range that is lost on roads like this one [1].
    money : Spread
        More to pay [currency].
    by_line : mapping of str to Spread
        The same energy by where it goes [kWh].
    regenerated : Spread
        Less energy given back [kWh].
    """

    kWh: Spread
    km_of_range: Spread
    range_share: Spread
    money: Spread
    by_line: Mapping[str, Spread]
    regenerated: Spread


def against(cold: Trip, warmed: Trip) -> Against:
    """Set a cold beginning against a warmed one.

    Parameters
    ----------
    cold, warmed : Trip
        Trips of the same members over the same road.

    Returns
    -------
    Against
        What the cold one takes more, member by member.

    Raises
    ------
    RequestError
        If the road or the cars are not the same.
    """
    a, b = cold.members, warmed.members
    same = cold.car == warmed.car and np.array_equal(a["mass"], b["mass"])
    if not same or (cold.trace is not warmed.trace and not np.array_equal(
        cold.trace.speed_km_per_h, warmed.trace.speed_km_per_h
    )):  # fmt: skip
        raise RequestError(
            "two trips can be set against each other only with the same cars on the same road",
            cure="compute both with the same car, trace, members and seed",
        )
    more = a["taken"] - b["taken"]
    per_km = b["taken"] / warmed.km
    return Against(
        spread_of(more),
        spread_of(more / per_km),
        spread_of(1.0 - a["range_km"] / b["range_km"]),
        spread_of(a["money"] - b["money"]),
        {line: spread_of(a[line] - b[line]) for line in LINES},
        spread_of(b["regenerated"] - a["regenerated"]),
    )
