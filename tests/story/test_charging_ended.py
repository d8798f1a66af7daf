"""Candidates for why charging ended."""

from tests.story.mornings import Plan, morning
from thawline.story.charging_ended import ended_unknown, why_charging_ended
from thawline.story.tell import find_acts

PLAN = Plan(
    duration_s=1300.0, heat_capacity_kJ_per_K=300.0, amps=32.0, unplug_s=1200.0,
    request_s=(125.0, 1190.0), drive_s=None,
)  # fmt: skip


def texts(t_s, plan=PLAN):
    found = find_acts(*morning(plan))
    causes = why_charging_ended(
        found.scene, found.wishes, found.supplied, found.charge_gate, t_s, 1.0
    )
    return [cause.because for cause in causes]


def test_a_request_that_fell_comes_before_what_follows_from_it():
    """The request ended, and with it the limit; the request is named first."""
    assert texts(1195.0)[:1] == ["Charging was no longer requested."]
    assert "The charging limit fell to zero." in texts(1195.0)


def test_a_cable_that_left_is_a_candidate():
    """Unplugged, and with it the supply ended."""
    plan = Plan(**{**PLAN.__dict__, "request_s": (125.0, 1290.0)})
    assert {"The car was unplugged.", "The supply ended."} <= set(texts(1200.0, plan))


def test_loads_that_take_all_are_a_candidate():
    """A supply at its ceiling leaves nothing for the pack."""
    small = Plan(**{**PLAN.__dict__, "amps": 16.0})
    assert any(text.startswith("Other loads took all") for text in texts(600.0, small))


def test_what_might_tell_is_named():
    """All that is missing is named."""
    found = find_acts(*morning(Plan(**{**PLAN.__dict__, "leave_out": ("IsRequested",)})))
    text = ended_unknown(found.scene, found.wishes)
    assert "Charging.IsRequested" in text and "Charging.ChargeLimit" in text
