"""Cars that nobody has seen are cars."""

import cantools
import numpy as np
import pytest

from tests.strange_cars import record, strange_car, strange_morning
from thawline.signals.database import read_database
from thawline.simulator.run import simulate
from thawline.simulator.scenario import checked
from thawline.vehicle.against_database import check_against_database
from thawline.vehicle.read import read_vehicle

SEEDS = range(40)


@pytest.mark.parametrize("seed", [3, 17])
def test_their_files_are_without_fault(seed, tmp_path):
    """Log, database and vehicle file of a strange car can be read by anybody."""
    files = record(seed, tmp_path)
    vehicle = read_vehicle(files.vehicle_file)
    check_against_database(vehicle, read_database([files.database]))
    database = cantools.database.load_file(files.database)
    assert len(database.messages) > 3
    assert files.log.stat().st_size > 1_000_000
    assert len(vehicle.signals) > 8


def test_their_mornings_make_sense():
    """Every morning passes the check that mornings of people pass."""
    for seed in SEEDS:
        morning = strange_morning(seed)
        assert checked(morning, "strange") is morning


def test_they_are_as_wide_as_cars_are():
    """Over a few dozen seeds sizes, supplies, rates and units spread far."""
    cars = [strange_car(seed) for seed in SEEDS]
    mornings = [strange_morning(seed) for seed in SEEDS]
    energy = [build.pack.energy_kWh for build, _ in cars]
    assert min(energy) < 35.0 and max(energy) > 90.0
    ratio = [build.pack.heat_capacity_kJ_per_K / build.pack.energy_kWh for build, _ in cars]
    assert min(ratio) < 3.5 and max(ratio) > 7.0
    assert {len(build.drive_units.positions) for build, _ in cars} == {1, 2, 3}
    units = {s.unit for _, bus in cars for m in bus.messages for s in m.signals}
    assert {"degF", "mA", "l/h", "W", "kW"} <= units
    periods = {m.period_s for _, bus in cars for m in bus.messages}
    assert min(periods) <= 0.02 and max(periods) >= 5.0
    assert {m.is_big_endian for _, bus in cars for m in bus.messages} == {True, False}
    assert {m.is_extended for _, bus in cars for m in bus.messages} == {True, False}
    assert any(m.supply is None for m in mornings)
    assert any(m.supply and m.supply.phases == 3 for m in mornings)
    assert any(m.lost_s for m in mornings) and any(m.logger.gaps for m in mornings)
    assert any(m.logger.steps for m in mornings) and any(m.drive for m in mornings)


def test_people_know_the_heat_capacity_only_roughly():
    """The prior in the vehicle file is off by up to 15 %, and not always given."""
    found = []
    for seed in SEEDS:
        build, bus = strange_car(seed)
        told = bus.vehicle["pack"].get("heat_capacity_kJ_per_K")
        found.append(None if told is None else told / build.pack.heat_capacity_kJ_per_K - 1.0)
    told = np.array([share for share in found if share is not None])
    assert 0 < len(told) < len(SEEDS)
    assert np.all(np.abs(told) < 0.16) and told.std() > 0.05


@pytest.mark.slow
@pytest.mark.parametrize("seed", SEEDS)
def test_their_accounts_balance(seed):
    """The truth of every strange morning closes to a millionth."""
    truth = simulate(strange_car(seed)[0], strange_morning(seed)).truth
    electrical, heat = truth.electrical, truth.heat
    given = electrical["supply"] + electrical["pack-out"]
    taken = sum(v for k, v in electrical.items() if k not in ("supply", "pack-out"))
    assert taken == pytest.approx(given, rel=1e-6)
    made = heat["drive-unit-heating"] + heat["cell-resistance"]
    kept = ("stored-in-pack", "pack-to-ambient", "stored-elsewhere", "unaccounted")
    assert sum(heat[line] for line in kept) == pytest.approx(made, rel=1e-6, abs=1e-9)
