"""The low-voltage system."""

import numpy as np

from tests.findings.made import LOW, kinds_of, looked, noisy


def test_a_converter_at_work_holds_more_than_a_battery_alone():
    """Below 12.9 V the car lives on its lead battery (common practice, no source)."""
    falls = noisy(lambda t: np.where(t < 1800.0, 13.9, 12.5), 0.03, 0.05, 1)
    found = looked({LOW: falls})
    assert kinds_of(found) == ["low-voltage-trouble"]
    assert abs(found.found[-1].from_s - 1800.0) < 60.0


def test_pulses_that_pull_it_down_are_told():
    """A battery that sags for seconds again and again cannot carry its loads."""
    found = looked({LOW: lambda t: 13.8 - 1.5 * ((t > 900.0) & (t % 60.0 < 4.0))})
    assert kinds_of(found) == ["low-voltage-trouble"]
    assert "pulled down" in found.found[-1].because


def test_a_24_V_system_is_left_alone():
    """Thresholds of 12 V say nothing of other systems."""
    assert kinds_of(looked({LOW: 27.5})) == []


def test_a_car_that_is_only_waking_is_left_alone():
    """Three minutes on the battery before the converter starts are usual."""
    wakes = noisy(lambda t: np.where(t < 180.0, 12.4, 13.8), 0.03, 0.05, 1)
    assert "low-voltage-trouble" not in kinds_of(looked({LOW: wakes}))
