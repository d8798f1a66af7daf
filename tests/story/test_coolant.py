"""Coolant and gaps."""

import pytest

from tests.story.mornings import Plan, scene
from thawline.story.coolant import tell_coolant, tell_gaps

PLAN = Plan(duration_s=600.0, cabin_s=None, drive_s=None)


def test_coolant_flows_while_the_pack_is_heated():
    """The lane is busy while coolant flows, with its mean flow."""
    (span,) = tell_coolant(scene(PLAN)).spans
    assert span.from_s == pytest.approx(125.0, abs=2.0)
    assert span.level == pytest.approx(8.0, abs=0.2) and "8 l/min" in span.because


def test_without_a_flow_meter_the_lane_is_lost():
    """No flow: no lane, and the cure is named."""
    told = tell_coolant(scene(Plan(**{**PLAN.__dict__, "leave_out": ("Coolant",)})))
    assert told.spans == () and "Coolant.Flow" in told.lost[0].cure


def test_gaps_are_a_lane():
    """What was not recorded is told as such."""
    (span,) = tell_gaps(scene(Plan(**{**PLAN.__dict__, "gap_s": (200.0, 260.0)}))).spans
    assert (span.lane, span.from_s, span.to_s, span.level) == ("no-data", 200.0, 260.0, None)
