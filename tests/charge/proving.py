"""Mornings of a simulated car, recorded by sensors drawn by chance, with the truth beside."""

from __future__ import annotations

from dataclasses import replace
from functools import cache

import numpy as np

from tests.story.simulated import gannet_build, record
from thawline.recording.recording import Recording
from thawline.simulator.build import Build
from thawline.simulator.charger import Supply
from thawline.simulator.events import Wish
from thawline.simulator.morning import Morning
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario

DRIVE = ((2100.0, 0.0), (2115.0, 50.0), (2220.0, 55.0), (2240.0, 0.0), (2255.0, 0.0),
         (2270.0, 60.0), (2340.0, 60.0), (2370.0, 0.0), (2400.0, 0.0))  # fmt: skip


def build() -> Build:
    """The demo's Gannet with other limits, resistance and display: nothing that was tuned to."""
    car = gannet_build()
    return replace(
        car,
        pack=replace(car.pack, resistance_mOhm=61.0, activation_kJ_per_mol=22.0),
        limits=replace(
            car.limits,
            charging_from_degC=0.6,
            regeneration_from_degC=-1.3,
            charging_kW_per_K=3.1,
            regeneration_kW_per_K=1.9,
        ),
        display=replace(car.display, hidden_pct_per_K=0.27, none_from_degC=8.0),
    )


@cache
def mornings() -> tuple[tuple[Morning, Recording], ...]:
    """Three cold mornings with a drive, and a warm one on direct current."""
    made = []
    for number, soak in enumerate((-14.0, -7.0, -2.5)):
        scenario = Scenario(
            f"proving-{number}",
            f"2031-01-{10 + number}T06:00:00Z",
            2400.0,
            soak - 1.0,
            soak,
            45.0 + 10.0 * number,
            plugged_s=((60.0, 2000.0),),
            supply=Supply(240.0, 48.0),
            wishes=(Wish("charging", 70.0, 2000.0),),
            drive=DRIVE,
            seed=50 + number,
        )
        made.append(scenario)
    made.append(
        Scenario(
            "proving-direct",
            "2031-01-20T06:00:00Z",
            2100.0,
            13.0,
            14.0,
            30.0,
            plugged_s=((30.0, 2080.0),),
            supply=Supply(400.0, 150.0, is_direct=True),
            wishes=(Wish("charging", 40.0, 2080.0),),
            seed=60,
        )
    )
    found = []
    for number, scenario in enumerate(made):
        morning = simulate(build(), scenario)
        kept = record(morning, 70 + number)
        at = scenario.starts_at
        found.append((morning, replace(kept, id=scenario.name, starts_at=at)))
    return tuple(found)


def true_mOhm(degC: np.ndarray) -> np.ndarray:
    """The pack's true resistance in the middle of its charge."""
    pack = build().pack
    kelvin = 1.0 / (degC + 273.15) - 1.0 / 298.15
    return pack.resistance_mOhm * np.exp(pack.activation_kJ_per_mol * 1e3 / 8.314462618 * kelvin)
