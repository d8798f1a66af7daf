"""Trends tell a car that changed from a winter that did."""

import re
from dataclasses import replace

import numpy as np
import pytest

from tests.trends.made import QUANTITY, mornings
from thawline.trends.follow import follow
from thawline.trends.measure import FOLLOWED
from thawline.trends.morning import Value


def trend(made, quantity=QUANTITY, **options):
    return next(one for one in follow(made, **options).trends if one.quantity == quantity)


@pytest.mark.parametrize("count", [6, 12, 30])
def test_a_sound_car_in_a_winter_that_gets_colder_does_not_change(count):
    """Fewer than one sound car in ten is called changed, though each day is colder."""
    told = [trend(mornings(count, seed, colder_K=12.0, odd=0.05)) for seed in range(60)]
    assert np.mean([one.is_change for one in told]) < 0.1
    z = np.array([one.change / one.change_sigma for one in told])
    assert abs(z.mean()) < 0.5 and 0.5 < z.std() < 1.5  # the uncertainty is neither boast nor alibi


def test_the_same_winter_unnormalised_would_blame_the_car():
    """Raw times rise in such winters: taking the weather out is what keeps them level."""
    rise, left, scatter = [], [], []
    for seed in range(20):
        made = mornings(30, seed, colder_K=16.0)
        raw = np.array([one.values[QUANTITY].value for one in made])
        days = np.array([one.starts_at for one in made])
        normalised = trend(made).normalised
        rise.append(np.corrcoef(days, raw)[0, 1])
        left.append(np.corrcoef(days, normalised)[0, 1])
        scatter.append(normalised.std() / raw.std())
    assert np.mean(rise) > 0.3
    assert abs(np.mean(left)) < 0.1
    assert np.mean(scatter) < 0.5


def test_a_car_that_takes_a_third_longer_is_found():
    """Thirty mornings show a third more time, with outliers among them, and by how much."""
    told = [trend(mornings(30, seed, grown=0.3, odd=0.05)) for seed in range(40)]
    assert np.mean([one.is_change for one in told]) > 0.9
    assert np.mean([one.change for one in told]) == pytest.approx(100 * np.expm1(0.3), abs=5.0)
    assert "A change: +" in told[0].sentence and "worse" in told[0].sentence


def test_outliers_barely_move_the_result():
    """One morning of four times the usual time moves the change by less than its uncertainty."""
    made = mornings(20, 5)
    values = {QUANTITY: replace(made[-1].values[QUANTITY], value=240.0)}
    hit = [*made[:-1], replace(made[-1], values=values)]
    clean, odd = trend(made), trend(hit)
    assert abs(odd.change - clean.change) < clean.change_sigma
    assert hit[-1].recording_id in odd.sentence and "Odd" in odd.sentence


def test_few_mornings_or_days_tell_no_change():
    """Three mornings, or twenty within a week, say so instead of a number."""
    for made in (mornings(3, 0), mornings(20, 0, days=3.0)):
        told = trend(made)
        assert told.change is None and not told.is_change
        assert "too few" in told.sentence


def test_a_condition_that_was_not_always_recorded_is_not_taken_out():
    """It is named as left out instead."""
    made = mornings(10, 0)
    first = {k: v for k, v in made[0].conditions.items() if k != "supply"}
    told = trend([replace(made[0], conditions=first), *made[1:]])
    assert "supply" not in [one.condition for one in told.effects]
    assert "most that the supply gave" in told.not_taken_out


def test_cost_is_the_energy_times_the_tariff():
    """With a tariff the cost follows; without one it is not asked for."""
    made = mornings(10, 0)
    cost = trend(made, "cost", price_per_kWh=0.4)
    energy = trend(made, "energy.supply", price_per_kWh=0.4)
    assert np.allclose(cost.raw, 0.4 * energy.raw)
    assert cost.change == pytest.approx(energy.change, rel=1e-6)
    assert "cost" not in [one.quantity for one in follow(made).trends]


def test_order_does_not_matter_to_the_last_digit():
    """Mornings may come in any order."""
    made = mornings(12, 2)
    assert trend(made).change == trend(made[::-1]).change


def test_undated_recordings_are_named_and_left_out():
    """A logger that counts from zero has no place in time."""
    made = mornings(8, 0)
    found = follow([*made, replace(made[0], starts_at=12.0, recording_id="gannet-undated")])
    assert found.mornings == 9 and "1 recordings without a date" in found.not_told
    assert found.trends[0].mornings == 8


def test_figures_that_say_next_to_nothing_are_wide_and_finite():
    """Energies far below their own uncertainty: no overflow, no change, an end to the interval."""
    made = [
        replace(one, values={QUANTITY: replace(one.values[QUANTITY], value=0.02, sigma=90.0)})
        for one in mornings(3, 1)
    ]
    told = trend(made)
    assert np.isfinite(told.high).all() and told.high.max() > 1e6 * told.level
    assert not told.is_change


def test_of_many_quantities_of_sound_cars_hardly_any_is_called_changed():
    """Eight quantities that go their own ways: one sound car in twenty or so, not one in three."""
    names = [f"time.{kind}" for kind in FOLLOWED] + ["warming", "resistance", "charger_loss"]
    called = 0
    for seed in range(80):
        chance = np.random.default_rng(seed)
        made = [
            replace(one, values={n: Value(10.0 * float(np.exp(chance.normal(0.0, 0.1))), 0.05)
                                 for n in names})
            for one in mornings(12, seed)
        ]  # fmt: skip
        called += any(one.is_change for one in follow(made).trends)
    assert called / 80 < 0.1


def test_a_change_in_percent_is_as_sure_as_its_logarithm():
    """A time that triples with a third of a logarithm of doubt is three times its uncertainty."""
    told = [trend(mornings(20, seed, grown=1.0)) for seed in range(5)]
    for one in told:
        said = float(re.search(r"([\d.]+) times its uncertainty", one.sentence).group(1))
        sigma = one.change_sigma / 100.0 / (1.0 + one.change / 100.0)
        assert said == pytest.approx(np.log1p(one.change / 100.0) / sigma, abs=0.06)
