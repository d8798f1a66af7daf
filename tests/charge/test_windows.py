"""Resistance within windows."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, recording
from thawline.charge.observed import observe
from thawline.charge.windows import windows
from thawline.recording.flows import make_flows


def swinging(t: np.ndarray) -> np.ndarray:
    return 20.0 * np.sin(t / 11.0) + 8.0 * np.sin(t / 37.0)


def seen(ohm: float, drift_V_per_s: float, noise_A: float = 0.0):
    rng = np.random.default_rng(2)

    def amps(t):
        return swinging(t) + rng.normal(0.0, noise_A, len(t)) if noise_A else swinging(t)

    made = recording(
        {
            BATTERY + "CurrentCurrent": amps,
            BATTERY + "CurrentVoltage": lambda t: 350.0 + drift_V_per_s * t + ohm * swinging(t),
            BATTERY + "Temperature.Average": -5.0,
            BATTERY + "StateOfCharge.Current": 55.0,
        }
    )
    return observe(made, make_flows(made))


def test_closed_form_with_a_drift():
    """Of 150 mΩ with a voltage that drifts at rest, each window gives 150 mΩ."""
    found = windows(seen(0.150, 2e-4), 0)
    assert len(found) == 30
    assert [one.ohm for one in found] == pytest.approx([0.150] * 30, rel=1e-3)
    assert found[0].degC == pytest.approx(-5.0) and found[0].charge == pytest.approx(0.55)


def test_noise_of_the_current_does_not_make_it_smaller():
    """Noise of 3 A on swings of 15 A would take 4 % off a plain regression."""
    found = windows(seen(0.150, 0.0, 3.0), 0)
    mean = np.average([w.ohm for w in found], weights=[w.sigma_ohm**-2 for w in found])
    assert mean == pytest.approx(0.150, rel=0.015)


def test_a_steady_current_tells_nothing():
    """Without a movement there is no window."""
    made = recording(
        {
            BATTERY + "CurrentCurrent": 15.0,
            BATTERY + "CurrentVoltage": 350.0,
            BATTERY + "Temperature.Average": -5.0,
        }
    )
    assert windows(observe(made, make_flows(made)), 0) == []
