"""What the cold hides."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, recording
from thawline.charge.hidden import hidden_curve
from thawline.charge.observed import observe
from thawline.recording.flows import make_flows

SHOWN, PHYSICAL = BATTERY + "StateOfCharge.Displayed", BATTERY + "StateOfCharge.Current"


def made(from_degC: float, to_degC: float):
    def degC(t):
        return from_degC + (to_degC - from_degC) * t / t[-1]

    def shown(t):
        return np.round(60.0 + t / 1800.0 - 0.3 * np.maximum(5.0 - degC(t), 0.0))

    found = recording(
        {
            SHOWN: shown,
            PHYSICAL: lambda t: 60.0 + t / 1800.0,
            BATTERY + "Temperature.Average": degC,
        }
    )
    return observe(found, make_flows(found)), (found.channels[SHOWN], found.channels[PHYSICAL])


def test_slope_and_end():
    """0.3 points per kelvin below 5 °C come back from displays of whole points."""
    pairs = [made(-16.0, 2.0), made(-9.0, 9.0), made(-4.0, 12.0), made(-12.0, 6.0)]
    curve = hidden_curve([one for one, _ in pairs], [two for _, two in pairs], 60.0)
    assert curve.pct_per_K == pytest.approx(0.3, rel=0.1)
    cold = float(np.interp(-10.0, curve.degC, curve.hidden_pct))
    assert cold == pytest.approx(4.5, abs=0.2)
    usable = float(np.interp(-10.0, curve.degC, curve.usable_kWh))
    assert usable == pytest.approx(60.0 * (1.0 - 0.045), abs=0.2)
    assert np.all(curve.low_pct <= curve.hidden_pct) and np.all(curve.hidden_pct <= curve.high_pct)


def test_too_little():
    """Without both states of charge nothing is said to be hidden."""
    one, (shown, _) = made(-16.0, 2.0)
    assert hidden_curve([one], [(shown, None)], 60.0) is None
