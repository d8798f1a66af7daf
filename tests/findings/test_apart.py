"""Findings on cars by arithmetic, which share nothing with the simulator."""

from math import isclose

import pytest
from benchmarks.findings import bound
from benchmarks.findings_apart import hurt, sound

from tests.findings.plain_car import Day, PlainCar, live_through
from tests.findings.plain_faults import KINDS

#: Faults and cars of this test; campaigns use others.
FAULTS = [
    ("flow-meter", 7101), ("valve", 7102), ("unit-dead", 7103), ("interrupted", 7104),
    ("lossy-unseen", 7105), ("group-capacity", 7106), ("slow-heat", 7107), ("inlet drift", 7108),
    ("pack_A offset few", 7109), ("coldest stuck", 7110), ("weak-pump", 7111),
]  # fmt: skip


def test_the_plain_car_loses_no_heat():
    """What drive units make is in metal, coolant and pack, or was lost to the air."""
    car = PlainCar(pack_loss_kW_per_K=0.0, hose_kW_per_K=0.0, warm_to=30.0)
    lived = live_through(car, Day(seconds=3000, soak=-10.0, outside=-10.0, cabin_from_s=None))
    made = sum(lived[f"unit {n}"].sum() for n in car.units)
    metal = sum(lived[f"metal {n}"][-1] - lived[f"metal {n}"][0] for n in car.units) * car.unit_kJ
    pack = (lived["mean"][-1] - lived["mean"][0]) * car.pack_kJ
    assert isclose(metal + pack, made, rel_tol=0.06)


def test_sound_mornings_are_left_alone():
    """Four mornings of a car, each with those before it."""
    assert [row.kinds for row in sound(7100)] == [[], [], [], []]


@pytest.mark.parametrize(("what", "seed"), FAULTS)
def test_a_fault_of_a_size_to_be_called_out_is_named(what, seed):
    """Whatever the recording is like."""
    row = hurt(seed, what)
    assert KINDS[what].kind in row.kinds


def test_the_interval_of_a_share_is_the_exact_one():
    """No event in n: the upper end is 1 - 0.025^(1/n) (Clopper and Pearson 1934)."""
    assert f"to {100.0 * (1.0 - 0.025 ** (1.0 / 200.0)):.1f})" in bound(0, 200)


@pytest.mark.slow
def test_a_campaign_on_plain_cars_holds():
    """No more than 2 % false on 200 sound mornings; 90 % found and 85 % named right."""
    rows = [row for seed in range(7200, 7250) for row in sound(seed)]
    assert sum(bool(row.kinds) for row in rows) <= 0.02 * len(rows)
    faults = [hurt(7200 + i, what) for i, what in enumerate([*KINDS, *KINDS])]
    assert sum(bool(row.kinds) for row in faults) >= 0.90 * len(faults)
    assert sum(row.kind in row.kinds for row in faults) >= 0.85 * len(faults)
