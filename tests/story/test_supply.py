"""Cable and supply."""

import numpy as np
import pytest

from tests.story.mornings import CABLE, Plan, morning, scene
from thawline.story.scene import make_scene
from thawline.story.stretches import OFF, ON, UNKNOWN
from thawline.story.supply import any_on, tell_supply

PLAN = Plan(duration_s=700.0, unplug_s=600.0, request_s=(125.0, 590.0), cabin_s=None, drive_s=None)


def kinds(plan, **more):
    told = tell_supply(scene(plan, **more)).told
    return [(point.kind, point.t_s) for point in told.points], told


def test_plugging_in_and_out_are_the_cables_edges():
    """Plugged in and unplugged within a sample of the truth, with the offer in the sentence."""
    (plugged, unplugged), told = kinds(PLAN)
    assert plugged == ("plugged-in", pytest.approx(120.0, abs=0.5))
    assert unplugged == ("unplugged", pytest.approx(600.0, abs=0.5))
    assert told.points[0].because.endswith("the supply offered 24 A at 208 V, 5.0 kW.")
    assert told.points[0].evidence[0].signal == CABLE
    (span,) = told.spans
    assert span.from_s == pytest.approx(122.0, abs=1.0) and span.level > 3.0


def test_a_cable_that_was_there_from_the_start_is_no_event():
    """Plugged in before the recording began: no turning point, but the span says so."""
    found, told = kinds(Plan(duration_s=300.0, plug_s=-100.0, drive_s=None))
    assert found == []
    assert "It was there when the recording began" in told.spans[0].because


def test_a_default_in_the_first_seconds_is_no_plugging_in():
    """A cable signal that starts with a default for 3 s makes no event."""
    assert kinds(Plan(duration_s=300.0, plug_s=3.0, drive_s=None))[0] == []


def test_contact_chatter_is_no_unplugging():
    """A cable signal that drops for a second is still connected."""
    t = np.arange(0.0, 700.0, 0.1)
    state = ((t >= 120.0) & (t < 600.0) & ~((t > 300.0) & (t < 301.2))).astype(float)

    told = tell_supply(make_scene(*morning(PLAN, None, {CABLE: state}))).told
    assert [point.kind for point in told.points] == ["plugged-in", "unplugged"]


def test_without_a_cable_signal_the_voltage_stands_for_it():
    """The supply's voltage tells, later than the cable, and that is said."""
    plan = Plan(duration_s=700.0, unplug_s=9e9, drive_s=None, leave_out=("IsChargingCable",))
    found, told = kinds(plan)
    assert found == [("plugged-in", pytest.approx(122.0, abs=1.0))]
    assert any(lost.what == "cable" for lost in told.lost)


def test_without_any_signal_the_lane_is_lost():
    """Nothing tells of a supply: that is said, with the cure."""
    plan = Plan(
        duration_s=300.0, drive_s=None, leave_out=("Charging.Charg", "Charging.Off", "Current")
    )
    found, told = kinds(plan)
    assert found == [] and told.spans == ()
    (lost,) = told.lost
    assert lost.what == "supply" and "ChargeVoltage" in lost.cure


def test_states_are_combined():
    """On if any is on, off if the known ones are off, unknown if none is known."""
    here = scene(PLAN)
    state = any_on(here, [CABLE])
    assert state[50] == OFF and state[300] == ON
    here.signals[CABLE][0] = np.nan
    assert any_on(here, [CABLE])[0] == UNKNOWN and any_on(here, []) is None
