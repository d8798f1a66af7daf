"""Levels of powers that still run."""

import numpy as np
import pytest

from thawline.forecast.levels import cycles, level_now, wander

T = np.arange(0.5, 600.0)


def test_a_steady_power_is_its_mean_and_a_new_one_its_newest():
    """Noise is averaged; a change of level is taken at face value."""
    rng = np.random.default_rng(1)
    noisy = 5.0 + rng.normal(0.0, 0.3, len(T))
    assert level_now(T, noisy, 600.0) == pytest.approx(5.0, abs=0.1)
    assert level_now(T, np.where(T < 560.0, 5.0, 2.0), 600.0) == 2.0


def test_a_duty_cycle_counts_by_its_mean():
    """Half on, half off every forty seconds is half the power."""
    kW = np.where(T % 40.0 < 20.0, 6.0, 0.0)
    assert cycles(kW[-120:] > 0.1)
    assert level_now(T, kW, 600.0) == pytest.approx(3.0, abs=0.2)


def test_wandering_is_told_from_a_trend():
    """A straight ramp does not wander; minutes that jump do."""
    assert wander(T, 5.0 + T / 600.0, 600.0) == pytest.approx(0.012)
    jumpy = 5.0 + np.where((T // 60.0) % 2.0 == 0.0, 0.5, -0.5)
    assert wander(T, jumpy, 600.0) > 0.08
