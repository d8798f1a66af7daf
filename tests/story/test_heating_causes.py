"""Candidates for why heating began and ended."""

from tests.story.mornings import MORE, Plan, morning
from thawline.story import names
from thawline.story.heating_causes import (
    began_unknown,
    ended_unknown,
    why_heating_began,
    why_heating_ended,
)
from thawline.story.tell import find_acts

PLAN = Plan(duration_s=1000.0, cabin_s=(300.0, 900.0), drive_s=None)


def acts(plan=PLAN, more=None):
    return find_acts(*morning(plan, None, more))


def test_every_condition_that_is_met_is_a_candidate():
    """Charging in the cold, the cabin, and conditioning each give one, with their times."""
    found = acts(more={MORE["conditioning"]: 1.0})
    causes = why_heating_began(
        found.scene, found.wishes, found.supplied, found.charge_gate, 310.0, 1.0
    )
    assert [round(cause.at_s, -1) for cause in causes] == [120.0, 300.0, float("-inf")]
    assert all(cause.evidence for cause in causes)


def test_a_warm_pack_is_not_heated_for_charging():
    """Above the threshold the request to charge explains no heating."""
    found = acts(Plan(**{**PLAN.__dict__, "start_degC": 9.0, "cabin_s": None}))
    causes = why_heating_began(
        found.scene, found.wishes, found.supplied, found.charge_gate, 310.0, 1.0
    )
    assert causes == []


def test_ends_have_the_conditions_that_ceased():
    """A target that is reached and a request that fell are candidates."""
    found = acts(more={MORE["warm_target"]: 8.0})
    texts = [
        cause.because
        for cause in why_heating_ended(found.scene, found.wishes, found.supplied, 905.0, 1.0)
    ]
    assert any("the target of 8.0 °C" in text for text in texts)
    assert any(text == "The cabin was no longer requested." for text in texts)


def test_what_would_tell_is_named():
    """Without a reason the sentence names the signals that were not recorded."""
    found = acts()
    assert began_unknown(found.wishes).endswith("(BatteryConditioning.IsActive would).")
    text = ended_unknown(found.scene, found.charge_gate, 905.0)
    assert "BatteryConditioning.TargetTemperature would" in text
    assert "the coldest cell had reached 8." in text and names.CABIN_WANTED not in text
