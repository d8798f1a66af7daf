"""Pairs of mornings of cars nobody has seen, that differ in one thing each."""

from __future__ import annotations

import tempfile
from dataclasses import replace
from functools import cache
from pathlib import Path

from tests.strange_cars import strange_car
from thawline.compare.compare import compare
from thawline.compare.comparison import Comparison
from thawline.recording.gather import gather
from thawline.report.explained import Explained
from thawline.signals.database import read_database
from thawline.simulator.charger import Supply
from thawline.simulator.events import Fault, Wish
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario
from thawline.simulator.write import write
from thawline.vehicle.read import read_vehicle
from thawline.walk import explain


def scenarios(seed: int, lasts_s: float) -> dict[str, Scenario]:
    """One morning, and the same with one thing changed: each with noise of its own."""
    base = Scenario(
        "base",
        "2031-02-03T05:00:00Z",
        lasts_s,
        -7.0,
        -7.0,
        45.0,
        plugged_s=((60.0, lasts_s),),
        supply=Supply(230.0, 32.0, 1, 100.0),
        wishes=(Wish("charging", 80.0, lasts_s),),
        seed=seed,
    )
    cabin = (*base.wishes, Wish("cabin", 80.0, lasts_s, 22.0))
    changed = (
        {"name": "colder", "ambient_degC": -12.0, "soak_degC": -12.0},
        {"name": "supply", "supply": Supply(230.0, 12.0, 1, 100.0)},
        {"name": "cabin", "wishes": cabin},
        {"name": "pump", "faults": (Fault("weak-pump", 0.0, 0.85, to_s=lasts_s),)},
    )
    made = [base, *(replace(base, seed=seed + n, **one) for n, one in enumerate(changed, 1))]
    return {scenario.name: scenario for scenario in made}


@cache
def morning(seed: int, name: str, lasts_s: float) -> Explained:
    """Simulate, write, read back and explain one of them."""
    car, bus = strange_car(seed)
    with tempfile.TemporaryDirectory() as folder:
        made = write(simulate(car, scenarios(seed, lasts_s)[name]), bus, Path(folder), 0.0)
        return explain(
            gather([made.log], read_vehicle(made.vehicle_file), read_database([made.database]))
        )


@cache
def against_base(seed: int, name: str, lasts_s: float) -> Comparison:
    """The changed morning told against the base."""
    return compare(morning(seed, "base", lasts_s), morning(seed, name, lasts_s))
