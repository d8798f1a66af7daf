"""The whole story of a small morning whose truth is known."""

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.story.mornings import Plan, Sensor, morning, true_points
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story.story import KINDS, LANES
from thawline.story.tell import find_acts, tell

PLAN = Plan(heat_capacity_kJ_per_K=300.0, amps=32.0)


def test_every_turning_point_is_found_once_and_in_time():
    """Within 5 s of the truth, each once, in order, and each with reason and evidence."""
    story = tell(*morning(PLAN))
    kinds = [point.kind for point in story.turning_points]
    for kind, when in true_points(PLAN).items():
        (point,) = [p for p in story.turning_points if p.kind == kind]
        assert point.t_s == pytest.approx(when, abs=5.0), kind
    assert sorted(kinds) == sorted(set(kinds))
    times = [point.t_s for point in story.turning_points]
    assert times == sorted(times)
    for point in story.turning_points:
        assert point.kind in KINDS and point.because.endswith(".") and point.plus_minus_s > 0.0
        assert point.evidence


def test_spans_are_in_order_and_within_the_recording():
    """Lanes in their order, spans in time, none outside."""
    recording, flows = morning(PLAN)
    spans = tell(recording, flows).spans
    order = [(LANES.index(span.lane), span.from_s) for span in spans]
    assert order == sorted(order)
    assert {span.lane for span in spans} >= {"supply", "pack-heating", "charging", "driving"}
    assert all(0.0 <= s.from_s <= s.to_s <= recording.duration_s for s in spans)


@pytest.mark.parametrize("gap", [(500.0, 560.0), (1460.0, 1530.0), (2150.0, 2230.0)])
def test_a_gap_makes_no_event_and_hides_one_honestly(gap):
    """What changed within a gap lies within its stated uncertainty; nothing else changes."""
    plan = Plan(**{**PLAN.__dict__, "gap_s": gap})
    story = tell(*morning(plan))
    without = {point.kind: point.t_s for point in tell(*morning(PLAN)).turning_points}
    for point in story.turning_points:
        assert abs(point.t_s - without[point.kind]) < max(6.0, 1.8 * point.plus_minus_s)
    assert any(span.lane == "no-data" for span in story.spans)


def test_an_empty_recording_tells_what_it_lacks():
    """No channel at all: no event, no span, and everything is named as lost."""
    recording = Recording("empty", morning(PLAN)[0].vehicle, 0.0, 60.0, {})
    story = tell(recording, make_flows(recording))
    assert story.turning_points == () and story.spans == ()
    assert {lost.what for lost in story.lost} >= {
        "supply", "charging", "pack-heating", "coldest-cell-thaws", "cabin", "regeneration",
        "driving", "coolant",
    }  # fmt: skip


@given(
    left=st.lists(
        st.sampled_from(
            ["Temperature.Min", "CurrentCurrent", "CurrentVoltage", "ChargeCurrent",
             "ChargeVoltage", "Offered", "IsRequested", "IsChargingCable", "Limits", "Coolant",
             "StandstillHeat", "Heater", "IsConditioning", "AmbientAir", "Exterior", "Speed"]
        ),
        unique=True,
    ),
    period=st.sampled_from([0.5, 3.0]),
)  # fmt: skip
@settings(max_examples=40, deadline=None, suppress_health_check=[HealthCheck.too_slow])
def test_whatever_is_missing_nothing_false_is_told(left, period):
    """Without any of the signals, what is still told agrees with what all of them tell."""
    sensors = {"Temperature.Min": Sensor(period, 0.1, 0.03)}
    plan = Plan(**{**PLAN.__dict__, "leave_out": tuple(left), "sensors": sensors})
    story = tell(*morning(plan))
    full = {point.kind: point.t_s for point in tell(*morning(PLAN)).turning_points}
    # a supply that is told by its power alone is seen some seconds after the cable
    for point in story.turning_points:
        assert point.kind in full
        assert abs(point.t_s - full[point.kind]) < max(12.0, 3.0 * point.plus_minus_s), point
    assert all(np.isfinite(span.from_s) for span in story.spans)
    assert all(lost.because and lost.cure for lost in story.lost)


def test_what_was_found_can_be_handed_on_and_changes_nothing():
    """The same story, whether what was on and off is looked up again or handed in."""
    recording, flows = morning(PLAN)
    assert tell(recording, flows, find_acts(recording, flows)) == tell(recording, flows)
