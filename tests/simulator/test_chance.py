"""Slow chance."""

import numpy as np
import pytest

from thawline.simulator.chance import sway


def test_sway_does_not_depend_on_the_step():
    """The same chance on a finer clock goes through the same values."""
    coarse = sway(np.random.default_rng(1), np.arange(0.0, 600.0, 0.5), 30.0)
    fine = sway(np.random.default_rng(1), np.arange(0.0, 600.0, 0.25), 30.0)
    assert fine[::2] == pytest.approx(coarse)


def test_sway_has_its_spread_and_memory():
    """Its standard deviation is one; after its memory it remembers 1/e."""
    values = sway(np.random.default_rng(2), np.arange(0.0, 60_000.0, 2.0), 30.0)
    assert values.std() == pytest.approx(1.0, abs=0.06)
    assert np.corrcoef(values[:-15], values[15:])[0, 1] == pytest.approx(np.exp(-1.0), abs=0.07)
