"""Temperatures finer than their thermometers."""

from __future__ import annotations

import numpy as np

from tests.ledger.made import BATTERY, channel
from thawline.charge.course import course, knots

PATH = BATTERY + "Temperature.Min"
CLOCK = np.arange(0.5, 3600.0, 1.0)


def test_a_coarse_thermometer_is_read_between_its_steps():
    """A steady rise shown in whole degrees comes back within a tenth of a degree."""
    shown = channel(PATH, lambda t: np.round(-8.3 + 14.0 * t / 3600.0))
    values, sigma = course(shown, CLOCK)
    truth = -8.3 + 14.0 * CLOCK / 3600.0
    inner = slice(200, -200)
    assert np.max(np.abs(values[inner] - truth[inner])) < 0.1
    assert np.max(np.abs(shown.values[:-1] - truth)[inner]) > 0.4
    assert 0.0 < sigma < 0.3


def test_noise_that_makes_means_finer_is_averaged():
    """A thermometer that flickers all the time is averaged, and stays unbiased."""
    rng = np.random.default_rng(5)
    shown = channel(PATH, lambda t: np.round(2.2 + 0.0 * t + rng.normal(0.0, 0.45, len(t))))
    values, _ = course(shown, CLOCK)
    assert abs(float(np.nanmean(values)) - 2.2) < 0.05
    assert float(np.nanstd(values)) < 0.15


def test_to_and_fro_about_an_edge_is_one_passage():
    """A reading that flickers while it passes counts once, one that turns back not at all."""
    t = np.arange(12.0)
    times, levels = knots(t, np.array([0, 0, 1, 0, 1, 1, 1, 1, 1, 1, 1, 1.0]))
    assert levels.tolist() == [0.5] and 1.0 < times[0] < 4.0
    times, _ = knots(t, np.array([0, 0, 1, 1, 0, 0, 0, 0, 0, 0, 0, 0.0]))
    assert len(times) == 0
