"""Coolant thermometers."""

import numpy as np

from tests.findings.made import INLET, OUTLET, inlet, kinds_of, looked, noisy, on, outlet


def test_one_that_jumps_is_told_and_nothing_else():
    """Six kelvin in twenty seconds with heat and flow unchanged."""
    jumped = noisy(lambda t: inlet(t) - 6.0 * np.clip((t - 2000.0) / 20.0, 0.0, 1.0), 0.05, 0.1, 1)
    found = looked({INLET: jumped})
    assert kinds_of(found) == ["coolant-sensor"]
    assert abs(found.found[-1].from_s - 2010.0) < 30.0


def test_one_that_stands_still_is_told():
    """The outlet stands while the inlet warms by fifteen kelvin."""
    stuck = noisy(lambda t: outlet(np.minimum(t, 1500.0)), 0.05, 0.1, 1)
    assert "coolant-sensor" in kinds_of(looked({OUTLET: stuck}))


def test_one_that_is_off_after_a_night_is_told():
    """Four others agree; it is five kelvin off."""
    assert "coolant-sensor" in kinds_of(looked({OUTLET: lambda t: outlet(t) - 5.0 + 0.0 * on(t)}))


def test_a_slow_drift_shows_in_the_heat_balance():
    """Eleven kelvins in the hour: more heat seems to be carried than is made."""
    drifts = noisy(lambda t: inlet(t) + 11.0 * np.maximum(t - 1000.0, 0.0) / 3600.0, 0.1, 0.1, 1)
    found = looked({INLET: drifts})
    assert kinds_of(found) == ["coolant-sensor"]
    assert "drift" in next(f for f in found.found if f.kind == "coolant-sensor").because


def test_a_kelvin_or_two_in_the_hour_is_nothing():
    """Within what thermistors and flow meters are off by."""
    drifts = noisy(lambda t: inlet(t) + 1.5 * t / 3600.0, 0.1, 0.1, 1)
    assert kinds_of(looked({INLET: drifts})) == []
