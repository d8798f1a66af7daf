"""A supply that came back, and someone who unplugged, are told as reasons."""

from __future__ import annotations

from tests.story.mornings import Plan, morning
from thawline.story.story import TurningPoint
from thawline.story.tell import tell


def points(plan: Plan, kind: str) -> list[TurningPoint]:
    return [point for point in tell(*morning(plan)).turning_points if point.kind == kind]


def test_heating_that_a_failure_ended_begins_again_with_the_supply():
    """Charging had been requested all along; what came just before is the supply."""
    plan = Plan(cabin_s=None, drop_outs=((400.0, 520.0),))
    first, again = points(plan, "pack-heating-begins")
    assert first.because.startswith("Charging was requested")
    assert again.because.startswith("The supply came back, with the coldest cell at −")
    assert again.evidence[0].unit == "V" and again.evidence[0].value > 150.0


def test_who_unplugs_ends_charging():
    """The request falls with the cable; the sentence names the cable, not the request."""
    plan = Plan(cabin_s=None, request_s=(125.0, 1500.0), unplug_s=1500.0)
    (unplugged,) = points(plan, "unplugged")
    ended = points(plan, "charging-ends")[-1]
    assert abs(ended.t_s - unplugged.t_s) < 3.0
    assert ended.because == "The car was unplugged."


def test_a_request_that_was_taken_back_is_not_blamed_on_a_later_unplugging():
    """Charging stopped two minutes before the cable went."""
    plan = Plan(cabin_s=None, request_s=(125.0, 1500.0), unplug_s=1620.0)
    assert points(plan, "charging-ends")[-1].because == "Charging was no longer requested."
