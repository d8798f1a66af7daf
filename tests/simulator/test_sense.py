"""Sensors."""

import numpy as np
import pytest

from tests.simulator.made import COLDEST, short_morning
from thawline.simulator.layout import BusSignal, Sensor
from thawline.simulator.sense import sensed

HEATER = "Cabin.HVAC.Heater.Left.Power"
AT = np.linspace(10.0, 890.0, 4000)


def seen(path: str, unit: str, sensor: Sensor) -> np.ndarray:
    """What a sensor shows over the morning."""
    signal = BusSignal("S", path, 16, unit=unit, sensor=sensor)
    return sensed(short_morning(), signal, AT, np.random.default_rng(3))


def test_a_perfect_sensor_shows_the_truth():
    """Without errors the true value is shown, in the bus's unit."""
    true = np.interp(AT, short_morning().t, short_morning().values[COLDEST])
    assert seen(COLDEST, "degC", Sensor()) == pytest.approx(true)
    assert seen(COLDEST, "degF", Sensor()) == pytest.approx(true * 1.8 + 32.0)


def test_noise_offset_and_gain_are_those_of_the_sensor():
    """The error has the mean and the spread that the sensor names."""
    true = seen(COLDEST, "degC", Sensor())
    error = seen(COLDEST, "degC", Sensor(noise=0.2, offset=0.5, gain=0.01)) - true * 1.01
    assert error.mean() == pytest.approx(0.5, abs=0.02)
    assert error.std() == pytest.approx(0.2, rel=0.05)


def test_a_coarse_sensor_rounds():
    """Every value is a multiple of the sensor's step."""
    values = seen(COLDEST, "degC", Sensor(step=0.5)) / 0.5
    assert values == pytest.approx(np.round(values))


def test_a_slow_sensor_follows_late():
    """A sensor with a lag shows, of a rising temperature, what was before."""
    late = seen(COLDEST, "degC", Sensor(lag_s=20.0))[-500:]
    true = seen(COLDEST, "degC", Sensor())[-500:]
    rate = (true[-1] - true[0]) / (AT[-1] - AT[-500])
    assert np.mean(true - late) == pytest.approx(20.0 * rate, rel=0.1)


def test_what_is_off_makes_no_noise():
    """A computer reports nothing of a heater that is off, not noise."""
    assert np.all(seen(HEATER, "W", Sensor(noise=20.0, offset=5.0)) == 0.0)
