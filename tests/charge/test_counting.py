"""Coulomb counting."""

from __future__ import annotations

import numpy as np
import pytest

from tests.ledger.made import BATTERY, recording
from thawline.charge.counting import count, moments, reconcile
from thawline.charge.observed import observe
from thawline.quantities import Accuracy
from thawline.recording.flows import make_flows
from thawline.recording.recording import Gap


def seen(values, **more):
    made = recording(values, **more)
    return made, observe(made, make_flows(made))


def test_a_rest_shows_the_zero():
    """With every load off for ten minutes, what the sensor shows is its zero error."""
    _, one = seen(
        {
            BATTERY + "CurrentCurrent": lambda t: np.where(t < 600.0, 0.12, 10.12),
            BATTERY + "CurrentVoltage": 350.0,
            BATTERY + "DCDC.InputPower": lambda t: np.where(t < 600.0, 0.0, 300.0),
        }
    )
    found = count(one)
    assert found.rest_s == pytest.approx(600.0, abs=2.0)
    assert found.zero_A == pytest.approx(0.12, abs=0.02)
    assert found.zero_sigma_A < 0.1


def test_without_the_low_voltage_loads_no_rest_is_believed():
    """A car whose small loads are not recorded may draw current unseen."""
    _, one = seen({BATTERY + "CurrentCurrent": 0.12, BATTERY + "CurrentVoltage": 350.0})
    found = count(one)
    assert found.rest_s == 0.0 and found.zero_A == 0.0


def test_a_gap_costs_certainty():
    """Charge over a hole is bridged, and the bridge has an uncertainty."""
    values = {BATTERY + "CurrentCurrent": lambda t: np.where(t < 1500.0, 10.0, 2.0)}
    whole, broken = seen(values)[1], seen(values, gaps=(Gap(1200.0, 1800.0),))[1]
    assert count(whole).bridged_sigma_Ah == 0.0
    assert count(broken).bridged_sigma_Ah > 0.1
    assert count(broken).ampere_hours[-1] == pytest.approx(count(whole).ampere_hours[-1], rel=0.1)


def test_nothing_to_count():
    """Without a current there is no count."""
    assert count(seen({BATTERY + "CurrentVoltage": 350.0})[1]) is None


def test_count_and_estimator_meet_by_their_uncertainties():
    """The gain lies between the count's and the estimator's, and is surer than the count's."""
    made, one = seen(
        {
            BATTERY + "CurrentCurrent": 20.0,
            BATTERY + "StateOfCharge.Current": lambda t: np.round(40.0 + 10.4 * t / t[-1], 1),
        }
    )
    estimator = made.channels[BATTERY + "StateOfCharge.Current"]
    alone = reconcile(count(one), one.t, None, 200.0, 8.0, 0.01)
    both = reconcile(count(one), one.t, estimator, 200.0, 8.0, 0.01)
    assert alone.gain_pct == pytest.approx(10.0, abs=0.01)
    assert 10.1 < both.gain_pct <= 10.45
    assert both.gain_sigma_pct < alone.gain_sigma_pct


def test_moments_of_a_staircase():
    """A reading of half points changes at the quarters."""
    made, _ = seen({BATTERY + "StateOfCharge.Current": lambda t: np.round(t / 1800.0) / 2.0})
    times, levels, sigma = moments(made.channels[BATTERY + "StateOfCharge.Current"])
    assert levels.tolist() == pytest.approx([0.25, 0.75])
    assert times.tolist() == pytest.approx([900.0, 2700.0], abs=2.0)
    assert 0.0 < sigma < 0.2


def test_a_stated_accuracy_counts():
    """An accuracy in the vehicle file replaces the usual one."""
    from tests.ledger.made import channel

    stated = channel(BATTERY + "CurrentCurrent", 5.0, accuracy=Accuracy(0.5, 0.02))
    assert stated.accuracy == Accuracy(0.5, 0.02)
    made, _ = seen({BATTERY + "CurrentCurrent": 5.0})
    from dataclasses import replace

    made = replace(made, channels={stated.path: stated})
    one = observe(made, make_flows(made))
    assert one.current == Accuracy(0.5, 0.02)
    assert count(one).zero_sigma_A == pytest.approx(0.5)
