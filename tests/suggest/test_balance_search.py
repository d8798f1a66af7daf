import numpy as np
import pytest

from thawline.suggest.balance_search import (
    alone,
    make_sums,
    nearest_factor,
    rest_of,
    search,
    split_twins,
)

N = 600
SEGMENT = np.zeros(N, dtype=np.int64)


def powers(seed=1, count=6):
    random = np.random.default_rng(seed)
    starts = random.integers(20, 500, count)
    t = np.arange(N)
    return [
        np.where(t > s, 1.0 - np.exp(-(t - s) / 60.0), 0.0) * (i + 1) for i, s in enumerate(starts)
    ]


def test_the_right_powers_are_found_among_others():
    """3 of 6 powers make up the target; the others are dropped."""
    x = powers()
    target = x[0] - x[2] - x[4]
    sums = make_sums(target, x, SEGMENT)
    assert search(sums, [True] * 6) == {0: 1.0, 2: -1.0, 4: -1.0}


def test_a_factor_that_no_power_has_is_not_taken():
    """Half of a power is no power: nothing is forced to fit."""
    x = powers()
    sums = make_sums(0.5 * x[1], [x[1]], SEGMENT)
    assert search(sums, [True]) == {}


def test_kilowatts_are_told_from_watts():
    """A power without a unit, taken as W, that counts a thousandfold is in kW."""
    x = powers()
    sums = make_sums(x[0] - x[1], [x[0] / 1e3, x[1]], SEGMENT)
    assert search(sums, [False, False]) == {0: 1000.0, 1: -1.0}


def test_twins_share_what_draws_twice():
    """Two equal loads: the one found at -2 is split."""
    x = powers()
    curves = [x[0], x[1], x[1].copy()]
    sums = make_sums(x[0] - 2.0 * x[1], curves, SEGMENT)
    found = split_twins(sums, ["a", "b", "c"], [True] * 3, {0: 1.0, 1: -2.0})
    assert found == {0: 1.0, 1: -1.0, 2: -1.0}


def test_sums_are_those_of_the_curves():
    """What is left is the sum of squares of centred curves, stretch by stretch."""
    x = powers()
    stretches = np.repeat([0, 1], N // 2)
    target = x[0] - x[1] + np.where(stretches == 0, 3.0, -8.0)
    sums = make_sums(target, x[:2], stretches)
    assert rest_of(sums, {0: 1.0, 1: -1.0}) == pytest.approx(0.0, abs=1e-6)
    assert alone(sums, {0: 1.0, 1: -1.0}, 1) == pytest.approx(1.0)


def test_too_little_gives_no_sums():
    """Less than two minutes with all values, or a target that never moves."""
    x = powers()
    assert make_sums(np.full(N, 2.0), x, SEGMENT) is None
    x[0][100:] = np.nan
    assert make_sums(x[1], x, SEGMENT) is None


@pytest.mark.parametrize(
    ("factor", "said", "near"),
    [(0.93, True, 1.0), (-1.8, True, -2.0), (970.0, False, 1000.0), (970.0, True, 1.0)],
)
def test_the_nearest_factor(factor, said, near):
    """Only what feeds or draws, once or twice; a thousand only where no unit is stated."""
    assert nearest_factor(factor, said=said) == near
