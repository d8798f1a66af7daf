"""What samples tell about their sensor."""

import numpy as np
import pytest

from thawline.recording.sensor import noise, period, resolution, stale_after

RANDOM = np.random.default_rng(11)


@pytest.mark.parametrize("step", [0.01, 0.1, 0.25, 0.5, 1.0, 2.0])
@pytest.mark.parametrize("sigma", [0.0, 0.3])
def test_the_step_of_a_rounding_sensor_is_found(step, sigma):
    """A ramp rounded to a step shows that step, noisy or not."""
    true = np.linspace(-12.0, 9.0, 4000) + RANDOM.normal(0.0, sigma, 4000)
    assert resolution(np.round(true / step) * step) == pytest.approx(step, rel=1e-6)


def test_a_sensor_with_an_offset_shows_the_same_step():
    """Codes of 0.5 K from -40 °C on, as many buses have them."""
    codes = np.round(np.linspace(50, 90, 500))
    assert resolution(codes * 0.5 - 40.0) == pytest.approx(0.5)


def test_a_continuous_signal_has_no_step():
    """Floating-point values without a common step show none."""
    assert resolution(RANDOM.normal(0.0, 1.0, 500)) == 0.0


def test_a_constant_tells_nothing():
    """One level has no step, and no noise."""
    assert resolution(np.full(100, 4.0)) == 0.0 and noise(np.full(100, 4.0)) == 0.0


@pytest.mark.parametrize("sigma", [0.05, 1.0, 20.0])
def test_noise_is_told_from_a_slow_ramp(sigma):
    """White noise on a ramp is found within a fifth, the trimming included."""
    values = np.linspace(0.0, 300.0, 20_000) + RANDOM.normal(0.0, sigma, 20_000)
    assert noise(values) == pytest.approx(sigma, rel=0.2)


def test_a_few_steps_are_not_noise():
    """Jumps between levels leave the noise alone."""
    values = np.repeat([0.0, 50.0, 10.0, 80.0], 500) + RANDOM.normal(0.0, 0.1, 2000)
    assert noise(values) == pytest.approx(0.1, rel=0.25)


def test_periods_and_staleness():
    """The median interval; three usual ones make a sample stale, but never under five seconds."""
    assert period(np.arange(0, 10, 0.1)) == pytest.approx(0.1)
    assert stale_after(np.arange(0, 10, 0.1), (), is_state=False) == 5.0
    assert stale_after(np.arange(0, 1000, 10.0), (), is_state=False) == pytest.approx(30.0)


def test_a_gap_of_the_log_does_not_make_a_channel_slow():
    """An interval that spans a gap says nothing about the channel."""
    t = np.concatenate((np.arange(0.0, 5.0), np.arange(300.0, 305.0)))
    assert stale_after(t, ((4.0, 300.0),), is_state=False) == 5.0
    assert stale_after(t, ((4.0, 300.0),), is_state=True) == 5.0
    assert stale_after(t, (), is_state=True) == pytest.approx(888.0)
    assert stale_after(np.array([1.0]), (), is_state=True) == float("inf")
