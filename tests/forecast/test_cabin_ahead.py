"""The cabin ahead, with and without a model of it."""

from itertools import pairwise

import numpy as np

from thawline.forecast.ahead import look_lengths
from thawline.forecast.cabin_ahead import _eased


def test_a_cabin_without_a_model_eases_off_as_it_warms():
    """It starts with the power of now, never rises, and ends between a quarter and three."""
    kW = _eased(4.0, look_lengths(), (16, 5), np.random.default_rng(1))
    assert kW.shape == (sum(count for _, count in look_lengths()) + 1, 16, 5)
    assert np.all(kW[0] == 4.0)
    assert np.all(np.diff(kW, axis=0) <= 0.0)
    assert np.all((kW[-1] > 0.99) & (kW[-1] < 3.01))


def test_the_steps_of_a_look_ahead_reach_six_hours_and_only_grow():
    """Each step is a whole number of the one before; together they make six hours."""
    lengths = look_lengths()
    assert sum(step * count for step, count in lengths) == 6.0 * 3600.0
    steps = [step for step, _ in lengths]
    assert all(late % early == 0.0 for early, late in pairwise(steps))
