"""Curves that never fall."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from thawline.charge.rising import binned, blocks_of, interval, never_falling

NUMBERS = st.lists(st.floats(-50.0, 50.0), min_size=2, max_size=30)


@settings(max_examples=60, deadline=None)
@given(NUMBERS)
def test_never_falling_and_nearest(values):
    """The fit rises, keeps the mean, and no other rising sequence tried is nearer."""
    y, weight = np.array(values), np.ones(len(values))
    fit = never_falling(y, weight)
    assert np.all(np.diff(fit) >= -1e-9)
    assert float(fit.mean()) == pytest.approx(float(y.mean()), abs=1e-9)
    other = np.sort(y)
    assert np.sum((fit - y) ** 2) <= np.sum((other - y) ** 2) + 1e-9


def test_a_handbook_example():
    """Pooling 1, 3, 2, 4 gives 1, 2.5, 2.5, 4 (adjacent violators, by hand)."""
    found = never_falling(np.array([1.0, 3.0, 2.0, 4.0]), np.ones(4))
    assert found.tolist() == pytest.approx([1.0, 2.5, 2.5, 4.0])


def test_bins_keep_means_and_leave_out_the_thin():
    """A bin's mean is that of its points; bins with too few are left out."""
    x, y, weight = binned(np.array([0.1, 0.2, 1.5]), np.array([2.0, 4.0, 9.0]), 1.0, 2)
    assert x.tolist() == pytest.approx([0.15]) and y.tolist() == [3.0] and weight.tolist() == [2.0]
    assert all(len(part) == 0 for part in binned(np.zeros(0), np.zeros(0), 1.0, 1))


def test_blocks_do_not_cross_recordings():
    """Blocks of a minute begin anew with each recording."""
    found = blocks_of(np.array([0] * 15 + [1] * 5), 5.0)
    assert found.tolist() == [0] * 12 + [1] * 3 + [2] * 5


def test_the_interval_holds_the_mean_of_noise():
    """Of white noise about 3, the interval of the mean is about 3.3 standard errors wide."""
    rng = np.random.default_rng(8)
    values = rng.normal(3.0, 1.0, 600)
    recording = np.zeros(600, dtype=np.int64)
    whole = np.array([values.mean()])
    low, high = interval(recording, 60.0, lambda drawn: np.array([values[drawn].mean()]), whole)
    assert low[0] < whole[0] < high[0]
    assert float(high[0] - low[0]) == pytest.approx(2.0 * 1.645 / np.sqrt(600.0), rel=0.25)
