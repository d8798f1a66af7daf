"""The coldest cell passes 0 °C."""

import pytest

from tests.story.mornings import BATTERY, Plan, Sensor, morning, true_points, truth
from thawline.story.scene import make_scene
from thawline.story.tell import find_acts
from thawline.story.thaw import tell_thaw

PLAN = Plan(duration_s=900.0, drive_s=None)


def told(plan, more=None):
    recording, flows = morning(plan, None, more)
    heated = find_acts(recording, flows).heated
    return tell_thaw(make_scene(recording, flows), heated.stretches, heated.kW)


@pytest.mark.parametrize("step", [0.1, 0.5, 1.0])
@pytest.mark.parametrize("period", [0.5, 5.0])
def test_the_thaw_is_timed(step, period):
    """Within 5 s with sensors of 0.1 to 1 K, from twice a second to every 5 s."""
    plan = Plan(**{**PLAN.__dict__, "sensors": {"Temperature.Min": Sensor(period, step, 0.02)}})
    (point,) = told(plan).points
    assert point.t_s == pytest.approx(true_points(plan)["coldest-cell-thaws"], abs=5.0)
    assert "3.4 kW of heat had warmed the pack for 5 min" in point.because
    assert point.evidence[0].threshold == 0.0


def test_what_warmed_it_is_not_guessed():
    """Without a heat signal the sentence says what would tell."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("StandstillHeat",)})
    assert "no signal says what warmed it" in told(plan).points[0].because


def test_the_mean_does_not_stand_for_the_coldest_cell():
    """With only the pack's mean no thaw is claimed; when the mean passed is said."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("Temperature.Min",)})
    found = told(plan, {BATTERY + "Temperature.Average": truth(plan)[1]["cell"]})
    assert found.points == () and found.lost[0].what == "coldest-cell-thaws"
    assert "the pack's mean passed 0.0 °C at 7:" in found.lost[0].because
    assert told(plan).lost[0].what == "coldest-cell-thaws"


def test_a_reading_too_near_to_tell_is_said():
    """A sensor of 1 K that ends at 0 °C leaves it open."""
    plan = Plan(duration_s=900.0, drive_s=None, heat_target_degC=-0.3,
                sensors={"Temperature.Min": Sensor(1.0, 1.0, 0.0)})  # fmt: skip
    found = told(plan)
    assert found.points == () and "too near" in found.lost[0].because


def test_a_reading_that_begins_at_the_level_is_said():
    """Whole degrees that show 0 °C from the first sample on may hide the passage."""
    plan = Plan(duration_s=900.0, drive_s=None, start_degC=-0.3,
                sensors={"Temperature.Min": Sensor(1.0, 1.0, 0.0)})  # fmt: skip
    found = told(plan)
    assert found.points == () and "begins too near" in found.lost[0].because
