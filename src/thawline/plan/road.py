"""What the first trip takes, after leaving in one way or another."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from thawline.plan.plan import Road
from thawline.plan.secure import Tried
from thawline.plan.trial import Bench

if TYPE_CHECKING:  # only plans with a first trip pay for it
    from thawline.trip.car import TripCar
    from thawline.trip.trace import Trace

#: Members that drive the trip [1].
DRIVERS = 32


@dataclass(frozen=True, slots=True)
class Roads:
    """The first trip, and the car that drives it.

    Parameters
    ----------
    name : str
        Name of the trip.
    trace : Trace
        Its speeds.
    car : TripCar
        The car.
    """

    name: str
    trace: Trace
    car: TripCar

    def after(self, bench: Bench, tried: Tried) -> Road:
        """Drive it after leaving so.

        Parameters
        ----------
        bench : Bench
            The sample.
        tried : Tried
            What became of it before leaving.

        Returns
        -------
        Road
            Energy, range, money.
        """
        from thawline.trip.begin import Begin  # as above
        from thawline.trip.drive import first_trip

        picked = np.arange(DRIVERS) % bench.members.count
        trial, run = tried.trial, bench.cabins[-1]
        leave, lead = bench.clock.leaves[-1], tried.programme.leads[-1]
        wishes = bench.asked.wishes
        price = float(bench.clock.price.mean()) / bench.car.efficiency
        begin = Begin(
            outside_degC=float(bench.asked.outside.at(bench.clock.edges_s[leave : leave + 1])[0]),
            pack_degC=trial.pack_degC[picked],
            coldest_degC=trial.coldest[leave][picked],
            cabin_degC=run.air[lead][picked],
            cabin_wish_degC=wishes.cabin_degC,
        )
        trip = first_trip(self.car, self.trace, begin, price_per_kWh=price, members=DRIVERS, seed=1)
        return Road(self.name, float(trip.km), trip.taken.mean, trip.range_km.mean, trip.money.mean)


def make_roads(bench: Bench, trace: Trace, name: str) -> Roads:
    """Prepare the first trip.

    Parameters
    ----------
    bench : Bench
        Whose car drives it.
    trace : Trace
        Its speeds.
    name : str
        Its name.

    Returns
    -------
    Roads
        Ready to be driven.
    """
    from thawline.trip.car import trip_car  # as above

    car = bench.car
    return Roads(name, trace, trip_car(car.vehicle, car.regeneration))
