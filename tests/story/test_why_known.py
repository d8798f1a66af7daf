"""What other mornings add to the question why not."""

from __future__ import annotations

import numpy as np

from tests.ledger.made import BATTERY, recording
from thawline.recording.flows import make_flows
from thawline.story.known_limits import KnownLimit, KnownLimits
from thawline.story.tell import tell
from thawline.story.why_not import why_not

LIMIT = BATTERY + "Limits.RegenerationPower"


def limit(what: str, origin: str = "limit signal", from_degC: float | None = -2.4) -> KnownLimit:
    degC = np.array([-2.0, 0.0, 4.0])
    kW = np.array([1.0, 3.2, 8.0])
    none = np.zeros(0)
    return KnownLimit(
        what, origin, "coldest cell", degC, kW, 0.02 * kW, from_degC, 0.1, none, none, 4
    )


def known(**how) -> KnownLimits:
    return KnownLimits(limit("charging", **how), limit("regeneration", **how), ("a", "b"))


def answer(what: str, degC: float, taught: KnownLimits | None, extra=None):
    made = recording(
        {
            BATTERY + "Temperature.Min": degC,
            BATTERY + "CurrentCurrent": -5.0,
            BATTERY + "CurrentVoltage": 350.0,
            "Speed": 60.0,
            **(extra or {}),
        }
    )
    flows = make_flows(made)
    return why_not(made, flows, tell(made, flows), what, 1800.0, taught)


def test_a_limit_without_a_signal_is_told_from_other_mornings():
    """At 0 °C this vehicle has allowed 3.2 kW; without other mornings nothing is known."""
    found = answer("regeneration", 0.0, known())
    said = "at this temperature this vehicle has allowed at most 3.2 kW (learned from 4 mornings)"
    assert said in found.because
    assert "allowed at most" not in answer("regeneration", 0.0, None).because


def test_a_learned_threshold_stands_before_common_practice():
    """At −1.5 °C common practice says no; this vehicle's mornings say −2.4 °C."""
    found = answer("regeneration", -3.0, known())
    assert "−2.4 °C" in found.because and "other mornings of this vehicle" in found.because
    assert "common practice" in answer("regeneration", -3.0, None).because


def test_what_was_achieved_bounds_nothing():
    """So much has flowed before: a remark at most, and never 'allowed at most'."""
    found = answer("regeneration", 0.0, known(origin="achieved", from_degC=None))
    assert "allowed at most" not in found.because


def test_beside_a_signal_it_is_a_remark():
    """The signal of this recording holds; what was learned stands beside it, once."""
    found = answer("regeneration", 0.0, known(), {LIMIT: 1.5})
    assert "1.5 kW" in found.because
    assert found.because.count("learned from") == 1


def test_warmer_than_any_morning_says_nothing():
    """Outside the temperatures that were recorded nothing is claimed."""
    assert "learned from" not in answer("regeneration", 9.0, known(), {LIMIT: 20.0}).because
