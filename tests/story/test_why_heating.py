"""What keeps heating of the pack from being more."""

import numpy as np
import pytest

from tests.story.mornings import MORE, Plan, gannet, morning
from thawline.story.tell import tell
from thawline.story.why_not import why_not
from thawline.vehicle.vehicle import DriveUnits

PLAN = Plan(duration_s=1200.0, drive_s=None, unplug_s=1150.0, request_s=(125.0, 1140.0))


def ask(t_s, plan=PLAN, vehicle=None, more=None):
    recording, flows = morning(plan, vehicle, more)
    return why_not(recording, flows, tell(recording, flows), "pack-heating", t_s)


def test_not_requested():
    """Nothing was asked for: that is the answer, with all that could have asked."""
    found = ask(50.0)
    assert found.limit == "not-requested"
    assert found.because == "Pack heating is 0 kW: neither charging nor the cabin is requested."


def test_target_reached():
    """At the target of conditioning, heating has done its work."""
    found = ask(1000.0, more={MORE["warm_target"]: 8.0})
    assert found.limit == "target-reached" and "the target 8.0 °C" in found.because


def test_full_heat_is_named():
    """Roughly 3.4 kW per drive unit (common practice, no source) is all that one gives."""
    units = DriveUnits(count=1, standstill_heat_kW=3.4)
    found = ask(250.0, vehicle=gannet(drive_units=units))
    assert found.now_kW == pytest.approx(3.4, abs=0.05)
    assert "the drive units give the 3.4 kW that the vehicle file states" in found.because
    assert "highest of this recording" in ask(250.0).because


def test_a_supply_at_its_ceiling_and_a_cabin_that_comes_first():
    """Less heat than could be, under a supply at its ceiling."""
    t = np.arange(0.0, 1200.0, 0.1)
    less = np.where((t > 125.0) & (t < 859.0), np.where(t > 400.0, 2.0, 3.4), 0.0)
    more = {"Powertrain.ElectricMotor.Rear.StandstillHeat": less}
    assert ask(700.0, more=more).limit == "loads-first"
    alone = Plan(**{**PLAN.__dict__, "cabin_s": None, "amps": 12.0, "volts": 120.0})
    assert ask(700.0, alone, more=more).limit == "supply"


def test_after_its_end_the_answer_says_when_it_ended():
    """Nothing says why it stopped: then when it did, and what would tell."""
    found = ask(1000.0)
    assert found.limit == "nothing-known"
    assert "it ended at 14:" in found.because and "TargetTemperature" in found.because
    hot = ask(1000.0, more={MORE["winding"]: 125.0})
    assert "the windings are at 125.0 °C" in hot.because
