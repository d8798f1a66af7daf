"""Candidates for why charging began."""

import pytest

from tests.story.mornings import Plan, morning
from thawline.story.charging_began import began_unknown, why_charging_began
from thawline.story.tell import find_acts

SLOW = Plan(duration_s=1000.0, heat_capacity_kJ_per_K=300.0, amps=32.0, drive_s=None)


def causes(t_s, plan=SLOW):
    found = find_acts(*morning(plan))
    return why_charging_began(
        found.scene, found.wishes, found.supplied, found.heated, found.charge_gate, t_s, 1.0
    )


def test_the_limit_is_a_candidate_with_its_time():
    """The limit left zero when the coldest cell reached the threshold."""
    (one,) = causes(736.0)
    assert one.at_s == pytest.approx(733.0, abs=3.0)
    assert one.because.startswith("The coldest cell reached 0.2 °C")


def test_an_old_limit_only_allows():
    """Minutes later the limit is no news: it allows charging, with its figure."""
    (one,) = causes(900.0)
    assert one.because.startswith("The pack's limit, at 4.")


def test_before_the_limit_leaves_zero_only_the_supply_has_come():
    """A shut limit lets nothing begin; a request and a supply just before are candidates."""
    assert [cause.because[:10] for cause in causes(130.0)] == ["Charging w", "The supply"]


def test_what_would_tell_is_named():
    """All signals that are missing are named, none that is there."""
    found = find_acts(*morning(Plan(**{**SLOW.__dict__, "leave_out": ("Limits",)})))
    text = began_unknown(found.scene, found.wishes)
    assert text == "No signal says why charging began (Limits.ChargePower might)."
