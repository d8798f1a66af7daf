"""What a person must know to judge a trip that was computed."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.trip.car import TripCar

Array = NDArray[np.float64]
ROAD = ("mass", "drag-area", "rolling", "drive-efficiency", "regeneration")


def notes_on(car: TripCar, not_delivered_kWh: Array) -> tuple[str, ...]:
    """Say what is taken for granted.

    Parameters
    ----------
    car : TripCar
        The car.
    not_delivered_kWh : ndarray of float64, shape (k,)
        Energy that so cold a pack could not give, as a line of the account [kWh].

    Returns
    -------
    tuple of str
        Sentences.
    """
    said = []
    usual = [name.replace("-", " ") for name in ROAD if name in car.assumed]
    if usual:
        said.append(f"By common practice, with wide margins: {', '.join(usual)}. "
                    "The table [road] of the vehicle file can state them.")  # fmt: skip
    if car.regeneration.origin != "learned":
        said.append(
            f"That regeneration begins at {car.regeneration.from_degC:.1f} °C at the coldest cell, "
            f"and how it grows, is by {car.regeneration.origin}."
        )
    said.append("Tyres are taken as run in at the temperature of the air: the first kilometres "
                "take more. Heat of the drive units is not led to the pack. A full pack, which "
                "allows less regeneration, is not considered.")  # fmt: skip
    short = np.mean(not_delivered_kWh < 0.0)
    if short > 0.0:
        said.append(f"So cold a pack cannot give the power that the road asks for ({short:.0%} of "
                    "the cars that could be this one): it would drive more slowly.")  # fmt: skip
    return tuple(said)
