"""Where limits leave zero."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, CHARGING, recording
from thawline.charge.limits_learned import learn_limit
from thawline.charge.observed import observe
from thawline.recording.flows import make_flows

LIMIT = BATTERY + "Limits.ChargePower"
COLDEST = BATTERY + "Temperature.Min"


def warming(begin: float, end: float):
    return lambda t: begin + (end - begin) * t / t[-1]


def seen(values):
    made = recording(values)
    return observe(made, make_flows(made))


def allowed(begin: float, end: float, at: float):
    def kW(t):
        above = begin + (end - begin) * t / t[-1] - at
        return np.where(above > 0.0, np.minimum(0.6 + 4.0 * above, 20.0), 0.0)

    return kW


def test_a_limit_that_opens_and_reaches_its_top():
    """Threshold, slope, and the temperature from which the limit rises no more."""
    one = seen({LIMIT: allowed(-6.0, 12.0, 0.4), COLDEST: warming(-6.0, 12.0)})
    curve = learn_limit([one], "charging")
    assert curve.threshold.degC == pytest.approx(0.4, abs=0.1)
    assert curve.at(np.array([2.4]))[0] == pytest.approx(8.6, rel=0.03)
    assert curve.at(np.array([-3.0]))[0] == 0.0
    assert curve.full_from_degC == pytest.approx(0.4 + 19.4 / 4.0, abs=0.5)


def test_always_shut_and_always_open_are_bounds():
    """A morning that stays cold bounds the threshold from below, a warm one from above."""
    cold = seen({LIMIT: 0.0, COLDEST: warming(-9.0, -3.0)})
    warm = seen({LIMIT: allowed(4.0, 9.0, 0.4), COLDEST: warming(4.0, 9.0)})
    curve = learn_limit([cold, warm], "charging")
    assert curve.threshold.degC is None
    assert "between −3.0 and 4.0 °C" in curve.threshold.note
    only = learn_limit([cold], "charging")
    assert only.threshold.degC is None and "above −3.0" in only.threshold.note
    assert np.all(only.kW == 0.0)


def test_charge_that_holds_back_is_not_temperature():
    """A pack near full allows less at the same temperature: that is the charge's curve."""
    cold = seen({LIMIT: allowed(-3.0, 10.0, 0.4), COLDEST: warming(-3.0, 10.0),
                 BATTERY + "StateOfCharge.Current": warming(50.0, 60.0)})  # fmt: skip
    full = seen({LIMIT: lambda t: 16.0 * (1.0 - t / t[-1]), COLDEST: warming(7.0, 8.0),
                 BATTERY + "StateOfCharge.Current": warming(90.0, 99.0)})  # fmt: skip
    curve = learn_limit([cold, full], "charging")
    assert curve.at(np.array([7.5]))[0] == pytest.approx(20.0, rel=0.05)
    held = curve.at(np.array([7.5]), np.array([97.0]))[0]
    assert held == pytest.approx(16.0 * 2.0 / 9.0, rel=0.15)
    assert np.all(np.diff(curve.charge_kW) <= 0.0)


def test_without_a_limit_the_most_achieved_is_a_lower_bound():
    """Power that went in is an envelope, marked as such, without a top."""

    def amps(t):
        return np.where(t > 1800.0, 12.0, 0.0)

    one = seen({
        COLDEST: warming(-2.0, 4.0),
        BATTERY + "CurrentCurrent": amps,
        BATTERY + "CurrentVoltage": 350.0,
        CHARGING + "ChargeCurrent.Phase1": 24.0,
        CHARGING + "ChargeVoltage.Phase1": 208.0,
    })  # fmt: skip
    curve = learn_limit([one], "charging")
    assert curve.origin == "achieved"
    assert curve.kW[-1] == pytest.approx(4.2, rel=0.02)
    assert curve.full_from_degC is None and curve.enough_from_degC is None
    # the supply gave all that it had all the time: other loads may have come first
    assert curve.threshold.degC is None


def test_the_mean_is_not_called_the_coldest_cell():
    """Where only the mean is recorded, the curve says so."""
    one = seen({LIMIT: allowed(-6.0, 12.0, 0.4), BATTERY + "Temperature.Average":
                warming(-6.0, 12.0)})  # fmt: skip
    assert learn_limit([one], "charging").against == "mean of the pack"


def test_nothing_known():
    """Without a temperature nothing is learned."""
    assert learn_limit([seen({LIMIT: 5.0})], "charging") is None
