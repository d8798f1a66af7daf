"""Whole mornings: accounts that balance, steps that do not matter, chance that repeats."""

import numpy as np
import pytest

from tests.simulator.made import COLDEST, demo_morning, gannet, plain, short_morning
from thawline.simulator.demo import mornings
from thawline.simulator.run import simulate

NAMES = [scenario.name for _, scenario in mornings()]


@pytest.mark.parametrize("name", NAMES)
def test_both_accounts_balance(name):
    """The true accounts close to a millionth of what they hold, driving and drop-outs too."""
    truth = demo_morning(name).truth
    electrical, heat = truth.electrical, truth.heat
    given = electrical["supply"] + electrical["pack-out"]
    taken = sum(v for k, v in electrical.items() if k not in ("supply", "pack-out"))
    assert taken == pytest.approx(given, rel=1e-6)
    made = heat["drive-unit-heating"] + heat["cell-resistance"]
    kept = ("stored-in-pack", "pack-to-ambient", "stored-elsewhere", "unaccounted")
    assert sum(heat[line] for line in kept) == pytest.approx(made, rel=1e-6)


@pytest.mark.parametrize("name", NAMES)
def test_coolant_brings_what_the_plates_pass_on(name):
    """Heat by flow into the pack is heat through its plates, but for what its coolant keeps."""
    truth = demo_morning(name).truth
    rest = truth.heat["coolant-into-pack"] - truth.more["through-the-plates"]
    assert abs(rest) <= abs(truth.more["stored-in-coolant"]) + 1e-3


def test_charge_is_the_integral_of_current():
    """The physical charge gained is the current's integral over the capacity."""
    morning = demo_morning("petrel-ferry")
    amps = morning.values["Powertrain.TractionBattery.CurrentCurrent"]
    counted = 100.0 * amps[:-1].sum() * morning.step_s / morning.build.pack.capacity_C
    assert counted == pytest.approx(morning.truth.charge["charged"], abs=1e-6)


def test_half_the_step_changes_less_than_half_a_per_cent():
    """Halving the step moves no energy by 0.5 %, no temperature by 0.05 K."""
    whole, half = short_morning(), simulate(gannet(), plain(), 0.125)
    for line in ("supply", "drive-unit-heating", "pack-out"):
        assert half.truth.electrical[line] == pytest.approx(whole.truth.electrical[line], rel=5e-3)
    for line in ("coolant-into-pack", "stored-in-pack", "pack-to-ambient", "stored-elsewhere"):
        assert half.truth.heat[line] == pytest.approx(whole.truth.heat[line], rel=5e-3)
    assert half.values[COLDEST][-1] == pytest.approx(whole.values[COLDEST][-1], abs=0.05)
    pairs = zip(whole.truth.points, half.truth.points, strict=True)
    assert all(a.kind == b.kind and abs(a.t_s - b.t_s) <= 0.5 for a, b in pairs)


def test_half_the_step_changes_no_drive():
    """Driving and regeneration take and give the same energy with half the step."""
    trace = ((20.0, 0.0), (31.0, 50.0), (70.0, 52.0), (81.0, 0.0), (90.0, 0.0), (99.0, 40.0))
    trace = (*trace, (130.0, 80.0), (150.0, 0.0))
    warm = plain(plugged_s=(), wishes=(), drive=trace, duration_s=200.0, soak_degC=8.0)
    whole, half = (simulate(gannet(), warm, step_s).truth for step_s in (0.25, 0.125))
    for line in ("other-loads", "pack-in", "pack-out"):
        assert half.electrical[line] == pytest.approx(whole.electrical[line], rel=5e-3)
    assert whole.electrical["pack-in"] > 0.02


def test_the_same_seed_gives_the_same_morning():
    """Chance repeats by its seed, and differs by it."""
    again = simulate(gannet(), plain(duration_s=60.0))
    other = simulate(gannet(), plain(duration_s=60.0, seed=2))
    first = len(again.t)
    assert np.array_equal(again.powers["pack"], short_morning().powers["pack"][:first])
    assert not np.array_equal(again.powers["pack"], other.powers["pack"])
