"""Heating of the pack: turning points and their reasons."""

import numpy as np
import pytest

from tests.story.mornings import Plan, morning
from thawline.story import names
from thawline.story.tell import tell

PLAN = Plan(duration_s=1000.0, cabin_s=None, drive_s=None)
MOTOR = "Powertrain.ElectricMotor.Rear.Temperature"
TARGET = names.CONDITIONING_TARGET


def points(plan, more=None):
    story = tell(*morning(plan, None, more))
    return {point.kind: point for point in story.turning_points}


def test_charging_asked_for_in_the_cold_sets_it_going():
    """The request is the reason, with the coldest cell and the threshold."""
    point = points(PLAN)["pack-heating-begins"]
    assert point.t_s == pytest.approx(125.0, abs=1.0)
    assert point.because.startswith("Charging was requested with the coldest cell at −6.0 °C")
    signals = {e.signal: e for e in point.evidence}
    assert signals[names.CHARGE_WANTED].value == 1.0
    assert signals[names.COLDEST].threshold == pytest.approx(0.2, abs=0.2)


def test_a_cabin_request_alone_also_warms_the_pack():
    """Common practice, no source: a cabin request alone also warms the pack."""
    plan = Plan(duration_s=700.0, request_s=None, cabin_s=(200.0, 600.0), drive_s=None)
    point = points(plan)["pack-heating-begins"]
    assert point.t_s == pytest.approx(200.0, abs=1.0)
    assert point.because.startswith("The cabin was requested")
    assert "a cabin request alone also warms the pack" in point.because


def test_without_a_request_signal_the_reason_admits_it():
    """Plugged in while cold is all that is seen; the signal that would tell is named."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("IsRequested", "IsConditioning")})
    because = points(plan)["pack-heating-begins"].because
    assert because.startswith("The car was plugged in") and "Charging.IsRequested would" in because


def test_with_nothing_to_tell_no_reason_is_claimed():
    """No request, no temperature, no cable: no reason."""
    plan = Plan(
        **{
            **PLAN.__dict__,
            "leave_out": ("IsRequested", "IsConditioning", "Temperature.Min", "Cable"),
        }
    )
    because = points(plan)["pack-heating-begins"].because
    assert because.startswith("No signal says why heating began")


def test_a_target_that_is_reached_ends_it():
    """The coldest cell at its target is the reason, with both figures."""
    point = points(PLAN, {TARGET: 8.0})["pack-heating-ends"]
    assert "the target of 8.0 °C" in point.because
    assert point.evidence[0].threshold == 8.0


def test_the_end_of_the_request_ends_it():
    """A request that falls is the reason."""
    plan = Plan(**{**PLAN.__dict__, "request_s": (125.0, 400.0)})
    point = points(plan)["pack-heating-ends"]
    assert point.t_s == pytest.approx(401.5, abs=1.5)
    assert point.because == "Charging was no longer requested."


def test_unplugging_ends_it():
    """A cable that leaves is the reason."""
    plan = Plan(**{**PLAN.__dict__, "unplug_s": 400.0, "request_s": (125.0, 900.0)})
    assert points(plan)["pack-heating-ends"].because in (
        "The car was unplugged.",
        "The supply ended.",
    )


def test_hot_windings_are_a_reason_only_if_they_are_hot():
    """Windings at 125 °C were spared; at 60 °C they explain nothing."""
    plan = Plan(**{**PLAN.__dict__, "heat_target_degC": 3.0})
    assert (
        "windings had reached 125.0 °C" in points(plan, {MOTOR: 125.0})["pack-heating-ends"].because
    )
    cool = points(plan, {MOTOR: 60.0})["pack-heating-ends"].because
    assert cool.startswith("No signal says why heating ended")


def test_a_recording_in_the_middle_of_heating_has_no_begin():
    """Heating from the first sample on makes a span, not a begin."""
    plan = Plan(duration_s=300.0, plug_s=-100.0, request_s=(-50.0, 900.0), drive_s=None)
    story = tell(*morning(plan, None, {"Powertrain.ElectricMotor.Rear.StandstillHeat": 3.4}))
    assert "pack-heating-begins" not in {p.kind for p in story.turning_points}
    (span,) = [s for s in story.spans if s.lane == "pack-heating"]
    assert span.because.startswith("The pack was being heated when the recording began")


def test_who_fed_the_heat_is_said():
    """A supply of 1.4 kW under 3.4 kW of heat: the pack helped."""
    plan = Plan(**{**PLAN.__dict__, "amps": 12.0, "volts": 120.0})
    story = tell(*morning(plan))
    (span,) = [s for s in story.spans if s.lane == "pack-heating"]
    assert "the pack helped with" in span.because
    assert span.level == pytest.approx(3.4, abs=0.1) and np.isfinite(span.to_s)
