"""The cabin."""

import numpy as np
import pytest

from tests.story.mornings import MORE, Plan, Sensor, gannet, morning, truth
from thawline.story.cabin import comfortable_from, conditioned, tell_cabin
from thawline.story.requests import read_wishes
from thawline.story.scene import make_scene
from thawline.vehicle.vehicle import Cabin

PLAN = Plan(duration_s=1200.0, cabin_s=(300.0, 1100.0), drive_s=None, cabin_kW=1.6)


def told(plan, vehicle=None, more=None):
    here = make_scene(*morning(plan, vehicle, more))
    return tell_cabin(here, read_wishes(here))


@pytest.mark.parametrize("step", [0.1, 0.5])
def test_comfort_is_timed(step):
    """Cabin air passes the vehicle file's level within 5 s of the truth."""
    t, true = truth(PLAN)
    plan = Plan(**{**PLAN.__dict__, "sensors": {"AmbientAir": Sensor(1.0, step, 0.02)}})
    (point,) = told(plan, gannet(cabin=Cabin(comfortable_from_degC=17.0))).points
    assert point.t_s == pytest.approx(float(t[np.argmax(true["air"] >= 17.0)]), abs=5.0)
    assert "as the vehicle file says" in point.because


def test_the_level_comes_from_file_target_or_assumption():
    """Vehicle file first, then the target less 1 K, then 18 °C, said to be assumed."""
    here = make_scene(*morning(PLAN, None, {MORE["cabin_target"]: 21.0}))
    assert comfortable_from(here, 600.0)[0] == pytest.approx(20.0)
    found = told(PLAN)
    assert "an assumption" in found.points[0].because
    assert found.lost[0].what == "comfortable cabin"


def test_a_cabin_that_warms_by_itself_is_no_event():
    """Air that passes the level without conditioning makes no turning point."""
    plan = Plan(**{**PLAN.__dict__, "cabin_s": None})
    air = np.interp(np.arange(0.0, 1200.0, 0.1), [0.0, 1200.0], [10.0, 25.0])
    assert told(plan, more={"Cabin.HVAC.AmbientAirTemperature": air}).points == ()


def test_heater_pulses_are_one_span():
    """A heater of 40 s in 60 s is one span of the lane."""
    t = np.arange(0.0, 1200.0, 0.1)
    pulses = np.where((t > 300.0) & (t < 900.0) & (t % 60.0 < 40.0), 3000.0, 0.0)
    plan = Plan(**{**PLAN.__dict__, "cabin_s": None, "leave_out": ("IsConditioning",)})
    (span,) = told(plan, more={"Cabin.HVAC.Heater.Main.Power": pulses}).spans
    assert span.from_s == pytest.approx(300.0, abs=1.5)
    assert span.level == pytest.approx(2.0, abs=0.15)


def test_a_request_alone_makes_the_lane_busy():
    """Without heater power the request tells the span."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("Heater.Main",)})
    (span,) = told(plan).spans
    assert span.level is None and span.because == "The cabin was conditioned; it was requested."
    nothing = Plan(**{**PLAN.__dict__, "leave_out": ("Heater.Main", "IsConditioning")})
    assert conditioned(make_scene(*morning(nothing))) == ((), None)
    assert told(nothing).lost[0].what == "cabin"


def test_without_the_air_comfort_is_lost():
    """No air temperature: the cure is named."""
    found = told(Plan(**{**PLAN.__dict__, "leave_out": ("AmbientAir",)}))
    assert found.points == () and found.lost[0].what == "cabin-comfortable"
