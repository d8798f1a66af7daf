"""When the pack was heated."""

import numpy as np
import pytest

from tests.story.mornings import Plan, scene
from thawline.story import names
from thawline.story.heating import find_heating
from thawline.story.requests import read_wishes

PLAN = Plan(duration_s=1000.0, cabin_s=None, drive_s=None)


def heated(plan, **more):
    here = scene(plan, **more)
    return find_heating(here, read_wishes(here))


def test_standstill_heat_is_heating():
    """Begin and end within 2 s of the truth, with the power."""
    (one,) = heated(PLAN).stretches
    assert one.begins.t_s == pytest.approx(125.0, abs=1.0)
    assert np.nanmean(heated(PLAN).kW[one.first : one.last]) == pytest.approx(3.4, abs=0.1)


@pytest.mark.parametrize("duty", [30.0, 60.0])
def test_pulses_are_one_heating(duty):
    """Heat in pulses of 30 to 60 s is one span (common practice, no source)."""
    plan = Plan(**{**PLAN.__dict__, "duty_s": duty, "heat_capacity_kJ_per_K": 600.0})
    assert len(heated(plan).stretches) == 1


def test_the_cars_own_state_stands_in():
    """Without a power, the conditioning state tells when, and what is lost is said."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("StandstillHeat",)})
    ongoing = (np.arange(0.0, 1000.0, 0.1) > 200.0).astype(float)
    found = heated(plan, ongoing=ongoing)
    assert found.kW is None and found.signals == (names.CONDITIONING_NOW,)
    assert found.stretches[0].begins.t_s == pytest.approx(200.0, abs=0.6)
    assert "how much" in found.lost[0].because


def test_without_any_signal_heating_is_lost():
    """Nothing tells of heating: nothing is claimed."""
    found = heated(Plan(**{**PLAN.__dict__, "leave_out": ("StandstillHeat",)}))
    assert found.stretches == () and found.lost[0].what == "pack-heating"
