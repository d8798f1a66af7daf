"""Cars and mornings that nobody has seen: one of each for every seed.

The vehicle file says only what a person would know: name, usable energy, perhaps cells in
series, chemistry and drive units, perhaps a heat capacity that is off by up to 15 %.
"""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import numpy as np

from tests.simulator.strange_build import strange_build
from tests.simulator.strange_bus import strange_bus
from tests.simulator.strange_mornings import strange
from thawline.simulator.build import Build
from thawline.simulator.layout import BusLayout
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario
from thawline.simulator.write import Written, write


def _plugs(seed: int) -> tuple[int, bool]:
    """Phases that the car can use, and whether it takes direct current."""
    rng = np.random.default_rng([seed, 1])
    return int(rng.choice([1, 3], p=[0.65, 0.35])), bool(rng.random() < 0.4)


def _known(build: Build, rng: np.random.Generator) -> dict[str, dict[str, object]]:
    pack: dict[str, object] = {"usable_energy_kWh": build.pack.energy_kWh}
    tables: dict[str, dict[str, object]] = {"pack": pack}
    if rng.random() < 0.6:
        pack["cells_in_series"] = build.pack.cells_in_series
    if rng.random() < 0.5:
        pack["chemistry"] = build.pack.chemistry
    if rng.random() < 0.6:
        off = float(rng.uniform(0.85, 1.15))
        pack["heat_capacity_kJ_per_K"] = round(build.pack.heat_capacity_kJ_per_K * off, 0)
    if build.coolant.heater_kW:
        tables["drive_units"] = {"count": 0}
    elif rng.random() < 0.9:
        tables["drive_units"] = {"count": len(build.drive_units.positions)}
    if rng.random() < 0.5:
        tables["charger"] = {"rated_kW": build.charger.rated_kW}
    if rng.random() < 0.3:
        tables["limits"] = {"charging_from_degC": 0.0, "regeneration_from_degC": -1.0}
    # not knowledge but what the owner calls comfortable
    tables["cabin"] = {"comfortable_from_degC": build.cabin.comfortable_from_degC}
    return tables


def strange_car(seed: int) -> tuple[Build, BusLayout]:
    """Draw a car and its bus."""
    rng = np.random.default_rng([seed, 2])
    build = strange_build(rng)
    phases, has_direct = _plugs(seed)
    bus = strange_bus(build, rng, phases, has_direct)
    return build, replace(bus, vehicle=_known(build, rng))


def strange_morning(seed: int) -> Scenario:
    """Draw a morning that suits the car of the same seed."""
    phases, has_direct = _plugs(seed)
    return strange(np.random.default_rng([seed, 3]), seed, phases, has_direct)


def record(seed: int, folder: Path) -> Written:
    """Simulate and write the morning of a seed."""
    build, bus = strange_car(seed)
    fill = float(np.random.default_rng([seed, 4]).choice([0.0, 60.0, 150.0, 300.0]))
    return write(simulate(build, strange_morning(seed)), bus, folder, fill)
