"""Voltage at rest."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, recording
from thawline.charge.observed import observe
from thawline.charge.open_circuit import open_circuit
from thawline.charge.resistance import fit_resistance
from thawline.recording.flows import make_flows


def test_the_drop_is_taken_off():
    """Under a swinging current the voltage at rest comes back, by state of charge."""

    def amps(t):
        return 9.0 * np.sin(t / 15.0) + 6.0

    def rest(t):
        return 350.0 + 10.0 * t / t[-1]

    made = recording(
        {
            BATTERY + "CurrentCurrent": amps,
            BATTERY + "CurrentVoltage": lambda t: rest(t) + 0.2 * amps(t),
            BATTERY + "StateOfCharge.Current": lambda t: 50.0 + 10.0 * t / t[-1],
            BATTERY + "Temperature.Average": lambda t: 0.001 * t,
        }
    )
    one = observe(made, make_flows(made))
    fitted, _ = fit_resistance([one])
    curve = open_circuit([one], fitted, 60.0, 100)
    assert curve.volts == pytest.approx(300.0 + curve.charge_pct, abs=0.1)
    assert np.all(np.diff(curve.volts) >= 0.0)


def test_nothing_known():
    """Without a state of charge there is no curve."""
    made = recording({BATTERY + "CurrentCurrent": 1.0, BATTERY + "CurrentVoltage": 350.0})
    assert open_circuit([observe(made, make_flows(made))], None, 60.0, None) is None
