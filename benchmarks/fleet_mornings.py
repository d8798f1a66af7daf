"""Thousands of mornings of a fleet that nobody has seen, each simulated by itself.

Ten models, drawn like the tests' strange cars, of ten vehicles each: cars of a model share what it
is built of and its software, and differ in heat capacity, losses, contact, resistance and the
errors of their thermometers. Eight have many mornings, two have three. Every morning is simulated
with its own weather, supply, wishes, driving and noise, written as a table of a row a second (one
in twenty as a bus log), and added the way a person adds it. One in twenty of the mornings has a
fault of random size; one vehicle in five gets one that stays. One recording in a hundred is
damaged on the disk afterwards.

What is done is told in a file, a line for each morning, so that making goes on where it broke off.
"""

from __future__ import annotations

import json
import sys
import tempfile
import time
from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from functools import cache
from multiprocessing import Pool
from pathlib import Path
from typing import Any

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from tests.findings.exposure import lacking
from tests.findings.mornings import BATTERY, FAULTS, OLD, Car, broken, car, mapped, morning
from thawline.errors import RequestError
from thawline.simulator.loop import check_step, ring
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario
from thawline.simulator.write import write, write_table

MODELS, VEHICLES, FEW, FEW_MORNINGS = 10, 10, 2, 3
#: Length of a simulated step [s]; models that bear it are taken. Longest morning [s].
STEP_S, LONGEST_S = 1.0, 1800.0
FIRST_DAY = datetime(2024, 11, 1, 6, 10, tzinfo=UTC)
#: Spread between cars of a model, of the logarithm [1].
SPREAD = {"heat_capacity_kJ_per_K": 0.03, "resistance_mOhm": 0.06, "plate_W_per_K": 0.05,
          "ambient_W_per_K": 0.15, "core_W_per_K": 0.05}  # fmt: skip
THERMOMETER_K, FAULTY, LASTING, BUS_LOGS, DAMAGED = 0.15, 20, 5, 20, 100
LIMITS = (f"{BATTERY}Limits.ChargePower", f"{BATTERY}Limits.RegenerationPower")


@dataclass(frozen=True)
class One:
    """A morning to make: which model, which of its vehicles, which of its mornings."""

    number: int
    model: int
    vehicle: int
    morning: int


def plan(count: int) -> list[One]:
    """Lay out a fleet: morning by morning, as days would bring them."""
    each = count // MODELS
    many = [each - FEW * FEW_MORNINGS for _ in range(MODELS)]
    found = []
    for model in range(MODELS):
        share, more = divmod(many[model], VEHICLES - FEW)
        for vehicle in range(VEHICLES):
            few = vehicle >= VEHICLES - FEW
            mornings = FEW_MORNINGS if few else share + (vehicle < more)
            found += [(which, model, vehicle) for which in range(mornings)]
    found.sort()
    return [One(i, model, vehicle, which) for i, (which, model, vehicle) in enumerate(found)]


@cache
def models() -> tuple[int, ...]:
    """Draw seeds of models that record both limits and can be simulated second by second."""
    found: list[int] = []
    seed = 50_000
    while len(found) < MODELS:
        seed += 1
        of = car(seed)
        build = of.build
        try:
            rings = ring(build.coolant, build.pack.modules, len(build.drive_units.positions))
            check_step(rings, build.coolant, STEP_S)
        except RequestError:
            continue
        if seed % 9 and set(LIMITS) <= mapped(of):
            found.append(seed)
    return tuple(found)


@cache
def vehicle(model: int, number: int) -> Car:
    """Draw a vehicle of a model."""
    of = car(models()[model])
    chance = np.random.default_rng([models()[model], number, 31])
    pack = replace(of.build.pack, **{
        name: getattr(of.build.pack, name) * float(np.exp(spread * chance.normal()))
        for name, spread in SPREAD.items()
    })  # fmt: skip
    messages = []
    for message in of.bus.messages:
        signals = []
        for signal in message.signals:
            if "Temperature" in signal.path:
                off = THERMOMETER_K * float(chance.normal()) * (1.8 if "F" in signal.unit else 1.0)
                sensor = replace(signal.sensor, offset=signal.sensor.offset + off)
                signal = replace(signal, sensor=sensor)
            signals.append(signal)
        messages.append(replace(message, signals=tuple(signals)))
    name = f"{of.build.name} {model}{number:02d}"
    return Car(replace(of.build, name=name, pack=pack), replace(of.bus, messages=tuple(messages)),
               of.phases, of.has_direct)  # fmt: skip


def is_few(name: str) -> bool:
    """Whether a vehicle has few mornings."""
    return int(name.rpartition(" ")[2]) % 100 >= VEHICLES - FEW


def coldest_off_K(name: str) -> float:
    """How much too much the thermometer of a vehicle's coldest cell shows [K]."""
    model, number = divmod(int(name.rpartition(" ")[2]), 100)
    for message in vehicle(model, number).bus.messages:
        for signal in message.signals:
            if signal.path == f"{BATTERY}Temperature.Min":
                return signal.sensor.offset / (1.8 if "F" in signal.unit else 1.0)
    return 0.0


def _lasting(of: Car, one: One, last: int) -> tuple[Any, ...]:
    """Give the fault that a vehicle has from the middle of its mornings on, if it has one."""
    if one.vehicle % LASTING or one.vehicle >= VEHICLES - FEW or 2 * one.morning < last:
        return ()
    known = [name for name in OLD if name in FAULTS and not lacking(name, of.build, mapped(of))]
    if not known:
        return ()
    own = 1000 * one.model + one.vehicle
    what = known[own % len(known)]
    hurt = broken(of, 10_000_000 + own, what, float(np.mean(FAULTS[what][1:])))
    return (hurt.fault, hurt.kind, hurt.size)


def draw(one: One, last: int) -> tuple[Car, Scenario, dict[str, Any]]:
    """Draw a morning: the car, the scenario, and what is told of its truth."""
    of = vehicle(one.model, one.vehicle)
    number = 20_000 + one.number
    chance = np.random.default_rng([number, 32])
    told: dict[str, Any] = {"fault": None, "kind": None, "size": None}
    lasting = _lasting(of, one, last)
    if not lasting and one.vehicle % LASTING and chance.integers(FAULTY) == 0:
        known = [name for name in sorted(FAULTS)
                 if name not in OLD and not lacking(name, of.build, mapped(of))]  # fmt: skip
        what = known[int(chance.integers(len(known)))]
        hurt = broken(of, number, what)
        scenario = hurt.scenario
        told = {"fault": what, "kind": hurt.kind, "size": hurt.size}
    else:
        scenario = morning(of, number, 0)
        if lasting:
            scenario = replace(scenario, faults=(lasting[0],))
            told = {"fault": lasting[0].what, "kind": lasting[1], "size": lasting[2]}
    starts = FIRST_DAY + timedelta(days=2 * one.morning, seconds=int(chance.integers(5400)))
    scenario = replace(
        scenario,
        name=f"m{one.number:05d}",
        starts=starts.strftime("%Y-%m-%dT%H:%M:%SZ"),
        duration_s=min(scenario.duration_s, LONGEST_S),
        seed=number,
    )
    return of, scenario, told


def add(one: One, last: int, library: Any, folder: Path) -> dict[str, Any]:
    """Simulate a morning, write its files, and add them to the library."""
    from thawline.walk import add as walk_add

    of, scenario, told = draw(one, last)
    truth = simulate(of.build, scenario, STEP_S)
    if one.number % BUS_LOGS == 0:
        files = write(truth, of.bus, folder)
        logs, databases, starts_at = [files.log], [files.database], None
    else:
        table = write_table(truth, of.bus, folder)
        logs, databases, files, starts_at = [table.table], [], table, scenario.starts_at
    text = files.vehicle_file.read_text("utf-8")
    model = f"model {models()[one.model]}"
    files.vehicle_file.write_text(text.replace("\n\n", f'\nmodel = "{model}"\n\n', 1), "utf-8")
    kept = walk_add(logs, databases, files.vehicle_file, library, starts_at=starts_at).recording
    limits = of.build.limits
    return {
        "number": one.number, "recording": kept.id, "vehicle": of.build.name, "model": model,
        "morning": one.morning, **told,
        "charging_from_degC": limits.charging_from_degC,
        "regeneration_from_degC": limits.regeneration_from_degC,
    }  # fmt: skip


def _work(given: tuple[list[One], int, str, float]) -> list[dict[str, Any]]:
    from thawline.library.library import open_library

    ones, last, folder, until = given
    library = open_library(Path(folder))
    rows = []
    for one in ones:
        if time.time() > until:
            break
        with tempfile.TemporaryDirectory() as scratch:
            try:
                rows.append(add(one, last, library, Path(scratch)))
            except RequestError as error:  # a car that leaves all bounds is no morning
                rows.append({"number": one.number, "recording": None, "why": str(error)[:200]})
    return rows


def make(folder: Path, count: int, until: float, workers: int = 2) -> int:
    """Make what is missing of a fleet; give how many mornings are still to make."""
    told = folder / "truth.jsonl"
    folder.mkdir(parents=True, exist_ok=True)
    known = {row["number"] for row in truth(folder)}
    todo = [one for one in plan(count) if one.number not in known]
    last = max(one.morning for one in plan(count))
    batches = [(todo[i : i + 10], last, str(folder / "library"), until)
               for i in range(0, len(todo), 10)]  # fmt: skip
    begin, made = time.perf_counter(), 0
    with Pool(workers) as pool, told.open("a", encoding="utf-8") as file:
        for rows in pool.imap_unordered(_work, batches):
            made += len(rows)
            file.writelines(json.dumps(row) + "\n" for row in rows)
            file.flush()
            pace = made / (time.perf_counter() - begin)
            print(f"  made {count - len(todo) + made} of {count}, {pace:.1f} a second",
                  end="\r", file=sys.stderr, flush=True)  # fmt: skip
            if time.time() > until:
                break
    print(file=sys.stderr)
    return len(todo) - made


def truth(folder: Path) -> list[dict[str, Any]]:
    """Read what was made, in the order of the mornings."""
    path = folder / "truth.jsonl"
    if not path.exists():
        return []
    rows = [json.loads(line) for line in path.read_text("utf-8").splitlines()]
    return sorted({row["number"]: row for row in rows}.values(), key=lambda row: row["number"])


def damage(folder: Path) -> list[str]:
    """Break one recording in a hundred, in four ways; give their names."""
    from thawline.library.catalogue import reading
    from thawline.library.library import open_library

    library = open_library(folder / "library")
    with reading(library) as rows:
        places = dict(rows.execute("SELECT id, folder FROM recordings").fetchall())
    names = [row["recording"] for row in truth(folder) if row["recording"] is not None]
    hurt = names[DAMAGED // 2 :: DAMAGED]
    for i, name in enumerate(hurt):
        inside = library.recordings / places[name]
        samples, document = inside / "samples.parquet", inside / "recording.json"
        if i % 4 == 0:
            samples.write_bytes(samples.read_bytes()[:2000])
        elif i % 4 == 1:
            samples.unlink(missing_ok=True)
        elif i % 4 == 2:
            document.write_text(document.read_text("ascii")[:500], "ascii")
        elif samples.exists():
            content = bytearray(samples.read_bytes())
            content[len(content) // 2] ^= 0xFF
            samples.write_bytes(bytes(content))
    return hurt
