import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.suggest.curves import agreement, changes, fit, integral, smooth

ONE = np.zeros(200, dtype=np.int64)
TWO = np.repeat([0, 1], 100)


def test_integrals_begin_anew_after_a_gap():
    """The integral of 2 is 2 t, up to the middle of each second, in each stretch."""
    got = integral(np.full(200, 2.0), TWO)
    expected = 2.0 * (np.arange(100) + 0.5)
    np.testing.assert_allclose(got, np.concatenate([expected, expected]))


def test_no_change_is_told_across_a_gap():
    """A jump between stretches is not a change."""
    got = changes(np.where(TWO == 0, 0.0, 50.0), 10, TWO)
    assert np.isnan(got[90:100]).all()
    assert np.nanmax(np.abs(got)) == 0.0


@settings(max_examples=25, deadline=None)
@given(st.floats(-50, 50), st.floats(-50, 50), st.integers(0, 999))
def test_a_fit_finds_the_factors(a, b, seed):
    """y = a x1 + b x2 + const per stretch is found exactly, as by numpy's own polynomial fit."""
    random = np.random.default_rng(seed)
    x1, x2 = random.normal(size=200), random.normal(size=200)
    y = a * x1 + b * x2 + np.where(TWO == 0, 7.0, -3.0)
    found = fit(y, [x1, x2], TWO)
    assert found.factors == pytest.approx((a, b), abs=1e-8)
    assert found.rest == pytest.approx(0.0, abs=1e-8)


def test_a_fit_says_how_much_it_explains():
    """The share explained is numpy's squared correlation."""
    random = np.random.default_rng(4)
    x = random.normal(size=200)
    y = 2.0 * x + random.normal(size=200)
    y[5] = np.nan
    good = np.isfinite(y)
    expected = np.corrcoef(x[good], y[good])[0, 1] ** 2
    assert fit(y, [x], ONE).explained == pytest.approx(expected, rel=1e-9)


def test_what_cannot_be_fitted_explains_nothing():
    """Too few samples, or a regressor that never moves."""
    assert fit(np.arange(200.0), [np.ones(200)], ONE).explained == 0.0
    assert fit(np.full(200, np.nan), [np.arange(200.0)], ONE).rest == float("inf")


def test_smoothing_passes_over_what_is_missing():
    """An average of what is there; nothing where the window is empty."""
    x = np.arange(30.0)
    x[10:20] = np.nan
    got = smooth(x, 5)
    assert got[10] == pytest.approx(8.5)
    assert np.isnan(got[15])


def test_agreement_of_states():
    """The phi coefficient: 1 for equal, -1 for opposite, 0 for a constant."""
    on = np.arange(20) > 9
    assert agreement(on, on) == pytest.approx(1.0)
    assert agreement(on, ~on) == pytest.approx(-1.0)
    assert agreement(on, np.ones(20, dtype=bool)) == 0.0
