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
