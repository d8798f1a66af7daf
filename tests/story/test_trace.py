"""Temperatures made ready for the search of their passages."""

import numpy as np
import pytest

from tests.story.mornings import channel_of
from thawline.story.trace import trace_of

PATH = "Powertrain.TractionBattery.Temperature.Min"


def seen(truth, step, sigma, period=1.0):
    rng = np.random.default_rng(2)
    t = np.arange(0.0, 1200.0, period)
    return trace_of(
        channel_of(
            PATH, t, lambda at: np.round((truth(at) + rng.normal(0, sigma, len(at))) / step) * step
        )
    )


def test_a_coarse_sensor_keeps_its_readings():
    """Where steps rule, readings stay what they are."""
    trace = seen(lambda t: 0.01 * t, 1.0, 0.02)
    assert trace.coarse and set(np.round(trace.v % 1.0, 6)) <= {0.0, 1.0}


@pytest.mark.parametrize("period", [0.1, 1.0, 5.0])
def test_dithered_readings_are_averaged_to_the_truth(period):
    """Noise of half a step makes means true to a small share of the step."""
    trace = seen(lambda t: 0.01 * t, 0.5, 0.25, period)
    assert not trace.coarse
    inner = (trace.t > 30.0) & (trace.t < 1170.0)
    assert np.std(trace.v[inner] - 0.01 * trace.t[inner]) < 0.15


def test_means_never_reach_across_a_jump_or_a_pause():
    """A default of −40 °C before the first value does not bleed into it."""
    trace = seen(lambda t: np.where(t < 60.0, -40.0, 5.0), 0.1, 0.1)
    assert trace.v[trace.t > 61.0].min() > 4.5


def test_one_wild_sample_is_no_temperature():
    """A single glitch vanishes."""
    trace = seen(lambda t: np.where(np.abs(t - 300.0) < 0.4, 60.0, -9.0), 0.5, 0.0)
    assert trace.v.max() == pytest.approx(-9.0)
