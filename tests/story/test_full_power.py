"""Full power of the charger."""

import numpy as np
import pytest

from tests.story.mornings import CHARGING, Plan, gannet, morning, scene, truth
from thawline.story.full_power import takers, tell_full_power
from thawline.story.offers import read_offer
from thawline.story.scene import make_scene
from thawline.vehicle.vehicle import Charger

PLAN = Plan(duration_s=700.0, drive_s=None)


def told(plan, vehicle=None, more=None):
    here = make_scene(*morning(plan, vehicle, more))
    return tell_full_power(here, read_offer(here))


def test_full_power_is_reached_within_3_percent():
    """The first time that the supply gives 97 % of 24 A at 208 V for 20 s."""
    t, true = truth(PLAN)
    reached = float(t[np.argmax(true["drawn"] >= 0.97 * 24.0 * 208.0 / 1e3)])
    (point,) = told(PLAN).points
    assert point.t_s == pytest.approx(reached, abs=2.0)
    assert "of the 5.0 kW on offer (24 A at 208 V)" in point.because
    assert "the drive-unit windings take 3.4 kW" in point.because


def test_the_rating_is_named_where_it_binds():
    """A charger rated for 4.0 kW that takes 4.0 kW is at full power."""
    (point,) = told(PLAN, gannet(charger=Charger(rated_kW=4.1))).points
    assert "that the charger is rated for" in point.because


def test_below_the_ceiling_there_is_no_full_power():
    """A supply of 11.5 kW that gives 5 kW is not at full power."""
    plan = Plan(**{**PLAN.__dict__, "amps": 48.0, "volts": 240.0, "duration_s": 500.0})
    assert told(plan, gannet(charger=Charger())).points == ()


def test_a_plateau_counts_only_if_more_was_wanted():
    """Without offer and rating, a level counts if the pack had to help; else it is lost."""
    plan = Plan(**{**PLAN.__dict__, "amps": 12.0, "volts": 120.0, "leave_out": ("Offered",)})
    (point,) = told(plan, gannet(charger=Charger())).points
    assert "the highest level that the recording shows" in point.because
    plan = Plan(**{**PLAN.__dict__, "amps": 48.0, "volts": 240.0, "leave_out": ("Offered",),
                   "cabin_s": None})  # fmt: skip
    lost = told(plan, gannet(charger=Charger()))
    assert lost.points == () and "OfferedCurrent" in lost.lost[0].cure


def test_without_the_supplys_power_it_is_lost():
    """No current: no full power, and the cure is named."""
    lost = told(Plan(**{**PLAN.__dict__, "leave_out": ("ChargeCurrent",)}))
    assert lost.points == () and lost.lost[0].what == "charger-at-full-power"


def test_direct_current_from_outside_has_its_own_ceiling():
    """A fast charger at its limit is at full power, whatever the car's own rating."""
    plan = Plan(duration_s=400.0, drive_s=None, leave_out=("Phase1", "Offered"))
    t = np.arange(0.0, 400.0, 0.1)
    more = {
        CHARGING + "ChargeVoltage.DC": 390.0 + 0.0 * t,
        CHARGING + "ChargeCurrent.DC": np.interp(t, [150.0, 200.0], [0.0, 200.0]),
        CHARGING + "MaximumChargingCurrent.DC": 200.0 + 0.0 * t,
    }
    (point,) = told(plan, more=more).points
    assert point.t_s == pytest.approx(198.5, abs=2.0)


def test_takers_are_named_and_so_is_the_packs_help():
    """Who takes the power is listed; a pack that helps is not a taker."""
    plan = Plan(**{**PLAN.__dict__, "amps": 12.0, "volts": 120.0})
    assert "the pack helps with" in takers(scene(plan), 250, 10)
