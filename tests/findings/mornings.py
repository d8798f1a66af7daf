"""Cars that nobody has seen with mornings behind them, sound ones and broken ones.

Each car has two earlier mornings. Sensors are off within their accuracy; wind, snow and doors
left open do what they do.
"""

from __future__ import annotations

import tempfile
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from tests.simulator.strange_build import between, word
from tests.simulator.strange_mornings import strange
from tests.strange_cars import _plugs, strange_car
from thawline.errors import RequestError
from thawline.recording.gather import gather
from thawline.recording.recording import Recording
from thawline.signals.database import read_database
from thawline.simulator.build import Build
from thawline.simulator.demo import mornings as demo_mornings
from thawline.simulator.demo import vehicle as demo_vehicle
from thawline.simulator.events import Fault
from thawline.simulator.layout import BusLayout, BusMessage, BusSignal, Sensor, placed_all
from thawline.simulator.loop import check_step, ring
from thawline.simulator.morning import Morning
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario
from thawline.simulator.write import write
from thawline.vehicle.read import read_vehicle

BATTERY = "Powertrain.TractionBattery."
LOW, COLDEST = "LowVoltageBattery.CurrentVoltage", BATTERY + "Temperature.Min"
CELLS = tuple(f"{BATTERY}CellVoltage.{which}" for which in ("Min", "Max"))
#: How far sensors are off: standard deviation, never more than two [K].
CELL_OFF_K, AIR_OFF_K = 0.3, 0.7
#: Usual length of a simulated step [s].
STEP_S = 0.5


@dataclass(frozen=True)
class Car:
    """A car and its bus."""

    build: Build
    bus: BusLayout
    phases: int = 1
    has_direct: bool = False


def _off(signal: BusSignal, rng: np.random.Generator) -> BusSignal:
    """Put a thermometer off within its accuracy."""
    path = signal.path
    kelvin = CELL_OFF_K if path.startswith(BATTERY + "Temperature.") else 0.0
    kelvin = AIR_OFF_K if path == "Exterior.AirTemperature" else kelvin
    if not kelvin:
        return signal
    per = 1.8 if "F" in signal.unit else 1.0
    off = float(np.clip(rng.normal(), -2, 2)) * kelvin * per
    return replace(signal, sensor=replace(signal.sensor, offset=signal.sensor.offset + off))


def car(seed: int) -> Car:
    """Draw a car: a strange one, or one of the demo's two for every ninth seed."""
    rng = np.random.default_rng([seed, 21])
    if seed % 9 == 0:
        build, bus = demo_vehicle("gannet" if seed % 2 else "petrel")
        messages = tuple(
            replace(m, signals=tuple(_off(s, rng) for s in m.signals)) for m in bus.messages
        )
        return Car(build, replace(bus, messages=messages))
    build, bus = strange_car(seed)
    loads = replace(build.loads, converter_V=between(rng, 13.4, 14.6, 1))
    build = replace(build, loads=loads)
    added: list[BusMessage] = []
    number = 0x7E0
    if rng.random() < 0.88:
        step = float(rng.choice([0.05, 0.1]))
        sensor = Sensor(step=step, noise=0.4 * step)
        signal = BusSignal(f"{word(rng, 2)}V", LOW, 16, scale=step, unit="V", sensor=sensor)
        added.append(BusMessage(f"{word(rng, 3)}L", number, 1.0, 2, (signal,)))
    if rng.random() < 0.7:
        sensor = Sensor(step=0.001, noise=0.0007)
        signals = tuple(
            BusSignal(f"{word(rng, 3)}{i}", path, 16, scale=0.001, unit="V", sensor=sensor)
            for i, path in enumerate(CELLS)
        )
        added.append(BusMessage(f"{word(rng, 3)}C", number + 1, 0.5, 4, signals))
    messages = tuple(
        replace(m, signals=tuple(_off(s, rng) for s in m.signals)) for m in bus.messages
    )
    bus = placed_all(replace(bus, messages=(*messages, *added)))
    phases, has_direct = _plugs(seed)
    return Car(build, bus, phases, has_direct)


def weather(scenario: Scenario, rng: np.random.Generator) -> Scenario:
    """Let wind and snow come, and doors be opened."""
    doors: tuple[tuple[float, float], ...] = ()
    if rng.random() < 0.4:
        begin = between(rng, 0.0, scenario.duration_s, 0)
        doors = ((begin, begin + between(rng, 5.0, 180.0, 0)),)
    snow = between(rng, 0.0, 1.0) if rng.random() < 0.3 else 0.0
    return replace(scenario, wind=between(rng, 0.8, 1.8), snow=snow, doors_s=doors)


def morning(of: Car, seed: int, which: int) -> Scenario:
    """Draw a sound morning; each number gives another one of the same car."""
    rng = np.random.default_rng([seed, 22, which])
    if of.build.name in ("Gannet", "Petrel"):
        fitting = [s for name, s in demo_mornings() if name == of.build.name.lower()]
        found = fitting[int(rng.integers(len(fitting)))]
        colder = between(rng, -6.0, 4.0, 1)
        found = replace(
            found,
            ambient_degC=found.ambient_degC + colder,
            soak_degC=found.soak_degC + colder,
        )
    else:
        found = strange(rng, seed, of.phases, of.has_direct)
    day = f"2026-0{which % 3 + 1}-{1 + (seed + which) % 27:02d}T06:05:00Z"
    number = seed * 100 + which
    name = f"{found.name}-{which}"
    found = replace(found, lost_s=(), seed=number, name=name, starts=day)
    return weather(found, rng)


def step_of(build: Build) -> float:
    """The longest step in which coolant stays in its volume or goes to the next [s]."""
    rings = ring(build.coolant, build.pack.modules, len(build.drive_units.positions))
    for step_s in (STEP_S, STEP_S / 2.0):
        try:
            check_step(rings, build.coolant, step_s)
        except RequestError:
            continue
        return step_s
    return STEP_S / 4.0


def lived(of: Car, scenario: Scenario, folder: Path | None = None) -> tuple[Recording, Morning]:
    """Simulate a morning, write its files, and read them like anyone's; and the truth."""
    with tempfile.TemporaryDirectory() as inside:
        truth = simulate(of.build, scenario, step_of(of.build))
        files = write(truth, of.bus, folder or Path(inside))
        read = read_vehicle(files.vehicle_file)
        found = gather([files.log], read, read_database([files.database]))
        return replace(found, id=scenario.name), truth


def recorded(of: Car, scenario: Scenario) -> Recording:
    """Simulate a morning, and read its files."""
    return lived(of, scenario)[0]


def mapped(of: Car) -> set[str]:
    """What the vehicle file of a car maps."""
    return {s.path for m in of.bus.messages for s in m.signals if s.is_mapped and s.path}


@dataclass(frozen=True)
class Injected:
    """A fault with what it should be called."""

    fault: Fault
    kind: str
    size: float
    scenario: Scenario


def _exposes(what: str, of: Car, scenario: Scenario) -> bool:
    """Tell whether a morning has what a fault needs to act."""
    charges = any(w.what == "charging" for w in scenario.wishes)
    cabin = any(w.what == "cabin" and w.from_s < scenario.duration_s - 900 for w in scenario.wishes)
    alternating = scenario.supply is not None and not scenario.supply.is_direct
    plugged = bool(scenario.plugged_s)
    if what in ("supply-cut", "supply-sag", "line-resistance", "lossy-charger"):
        return charges and alternating
    if what in ("dead-heater", "dead-element"):
        return cabin
    if what == "charging-refused":
        return charges and plugged
    if what in ("weak-converter", "weak-low-battery", "sensor-current"):
        return True
    return charges or any(w.what == "pack" for w in scenario.wishes)


FAULTS: dict[str, tuple[str, float, float]] = {
    "weak-pump": ("weak-coolant-flow", 0.1, 0.95),
    "flow-meter": ("coolant-sensor", 0.1, 1.0),
    "valve-open": ("heat-lost-outside", 0.05, 1.0),
    "dead-heater": ("heater-dead", 0.1, 1.0),
    "dead-element": ("heater-dead", 0.33, 0.34),
    "weak-unit": ("heater-dead", 0.1, 1.0),
    "charging-refused": ("charging-refused-warm", 0.5, 20.0),
    "supply-cut": ("supply-cut", 5.0, 300.0),
    "supply-sag": ("supply-sagging", 0.02, 0.25),
    "line-resistance": ("supply-sagging", 50.0, 1500.0),
    "stuck-coldest": ("coldest-cell-sensor", 0.0, 1.0),
    "drift-coldest": ("coldest-cell-sensor", 1.0, 20.0),
    "stuck-coolant": ("coolant-sensor", 0.0, 1.0),
    "offset-coolant": ("coolant-sensor", 1.0, 15.0),
    "drift-coolant": ("coolant-sensor", 2.0, 20.0),
    "sensor-current": ("current-sensor", 0.3, 12.0),
    "module-contact": ("lagging-cell-group", 0.1, 1.0),
    "module-resistance": ("lagging-cell-group", 0.1, 3.0),
    "module-capacity": ("lagging-cell-group", 0.03, 0.35),
    "module-joint": ("lagging-cell-group", 0.3, 5.0),
    "lossy-charger": ("lossy-charger", 0.02, 0.3),
    "fouled-plate": ("slower-warming", 0.1, 0.9),
    "weak-units": ("slower-warming", 0.1, 0.9),
    "aged-cells": ("resistance-growth", 0.1, 1.5),
    "weak-converter": ("low-voltage-trouble", 0.3, 4.0),
    "weak-low-battery": ("low-voltage-trouble", 0.3, 4.0),
}
#: A cell resists so many times more near −10 °C than at 25 °C [1].
COLD_OHM = 3.0
#: Faults that are there from the beginning: they come over weeks and not within a morning.
OLD = (
    "module-contact",
    "module-resistance",
    "module-capacity",
    "module-joint",
    "fouled-plate",
    "aged-cells",
    "weak-units",
)


def _fault(
    what: str, of: Car, scenario: Scenario, size: float, at_s: float, rng: np.random.Generator
) -> Fault:
    units = of.build.drive_units.positions
    if what in ("dead-heater", "dead-element"):
        return Fault(what, at_s, size, str(rng.choice(list(of.build.cabin.heaters_W))))
    if what == "weak-unit":
        return Fault(what, at_s, size, units[int(rng.integers(len(units)))])
    if what == "weak-units":
        return Fault("weak-unit", at_s, size)
    if what == "supply-cut":
        return Fault(what, at_s, to_s=at_s + size)
    if what in ("charging-refused", "line-resistance", "lossy-charger", "aged-cells",
                "weak-converter", "weak-low-battery"):  # fmt: skip
        return Fault(what, at_s, size=size)
    if what in ("module-contact", "module-resistance"):
        where = str(int(rng.integers(of.build.pack.modules)))
        return Fault(what, at_s, size if what == "module-contact" else 1.0, where, size)
    if what == "module-capacity":
        return Fault(what, at_s, size, str(int(rng.integers(of.build.pack.modules))))
    if what == "module-joint":  # in terms of what a cell itself resists in the cold
        own = COLD_OHM * of.build.pack.resistance_mOhm / of.build.pack.cells_in_series
        return Fault(what, at_s, 1.0, str(int(rng.integers(of.build.pack.modules))), size * own)
    if what == "flow-meter":
        return Fault("sensor-gain", at_s, size, BATTERY + "Coolant.Flow")
    turns = float(rng.choice([-1.0, 1.0]))
    if what.endswith("-coldest"):
        kind = "stuck-sensor" if what.startswith("stuck") else "sensor-drift"
        return Fault(kind, at_s, where=COLDEST, size=turns * size)
    if what.endswith("-coolant"):
        where = f"{BATTERY}Coolant.{rng.choice(['Inlet', 'Outlet'])}Temperature"
        kind = {"stuck": "stuck-sensor", "drift": "sensor-drift"}.get(
            what.split("-")[0], "sensor-offset"
        )
        return Fault(kind, at_s, where=where, size=turns * size)
    if what == "sensor-current":
        return Fault("sensor-offset", at_s, where=BATTERY + "CurrentCurrent", size=turns * size)
    return Fault(what, at_s, size)


def broken(of: Car, seed: int, what: str, size: float | None = None) -> Injected:
    """Draw a morning on which something breaks, of random size at a random time."""
    kind, low, high = FAULTS[what]
    rng = np.random.default_rng([seed, 23, sorted(FAULTS).index(what)])
    which = 10
    scenario = morning(of, seed, which)
    while not _exposes(what, of, scenario) and which < 60:
        which += 1
        scenario = morning(of, seed, which)
    if size is None:
        size = float(rng.uniform(low, high))
    if what == "charging-refused":
        warm = float(rng.uniform(-6.0, 3.0))
        scenario = replace(scenario, ambient_degC=warm, soak_degC=warm)
    at = 0.0 if what in OLD else float(rng.uniform(0.0, 0.6 * scenario.duration_s))
    fault = _fault(what, of, scenario, size, round(at, 1), rng)
    scenario = replace(scenario, faults=(fault,), name=f"{scenario.name}-{what}")
    return Injected(fault, kind, size, scenario)
