"""Cars and beginnings for tests of the road."""

from pathlib import Path

from thawline.trip.car import trip_car
from thawline.trip.trace import read_trace
from thawline.vehicle.vehicle import Charger, Pack, Road, Vehicle

HERE = Path(__file__).parent
ROAD = Road(1800.0, 0.60, 0.0095, 0.90, 60.0)


def vehicle(energy=72.0, road=ROAD, **pack):
    """A car with stated figures of the road."""
    given = {"cells_in_series": 108, "chemistry": "LFP", "resistance_mOhm": 70.0} | pack
    return Vehicle("Gannet", Pack(energy, **given), road=road, charger=Charger(efficiency=0.9))


def car(**given):
    """The same for a trip."""
    return trip_car(vehicle(**given))


def cycle(name):
    """A published cycle (EPA), as the package fastsim 3.1.0 has it."""
    return read_trace(HERE / f"{name}.csv")
