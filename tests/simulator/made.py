"""Mornings that several tests look at, simulated once."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

from thawline.simulator.build import Build
from thawline.simulator.charger import Supply
from thawline.simulator.demo import mornings, vehicle
from thawline.simulator.events import Wish
from thawline.simulator.morning import Morning
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario

BATTERY = "Powertrain.TractionBattery."
CHARGING = BATTERY + "Charging."
COLDEST = BATTERY + "Temperature.Min"
MEAN = BATTERY + "Temperature.Average"
SHOWN = BATTERY + "StateOfCharge.Displayed"
RECOVERED = BATTERY + "Limits.RegenerationPower"


def gannet() -> Build:
    """The demo's Gannet."""
    return vehicle("gannet")[0]


def plain(**changes: object) -> Scenario:
    """A plain morning: -9 °C, 208 V and 24 A, charging asked for."""
    morning = Scenario(
        name="plain",
        starts="2026-01-17T06:05:00Z",
        duration_s=900.0,
        ambient_degC=-9.0,
        soak_degC=-9.0,
        charge_pct=60.0,
        plugged_s=((30.0, 9e9),),
        supply=Supply(208.0, 24.0),
        wishes=(Wish("charging", 35.0, 9e9),),
    )
    return replace(morning, **changes)


@cache
def demo_morning(name: str) -> Morning:
    """A morning of the demo by its name."""
    for car, scenario in mornings():
        if scenario.name == name:
            return simulate(vehicle(car)[0], scenario)
    raise AssertionError(name)


@cache
def short_morning() -> Morning:
    """Fifteen minutes of the plain morning."""
    return simulate(gannet(), plain())


def times(morning: Morning, kind: str) -> list[float]:
    """When turning points of a kind truly were."""
    return [point.t_s for point in morning.truth.points if point.kind == kind]


def at(morning: Morning, path: str, t_s: float) -> float:
    """A true value at an instant."""
    return float(morning.values[path][int(t_s / morning.step_s)])
