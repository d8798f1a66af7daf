"""Supplies that failed while the cable stayed."""

import numpy as np
import pytest

from tests.story.mornings import CHARGING, Plan, morning, scene
from thawline.story.scene import make_scene
from thawline.story.supply import tell_supply
from thawline.story.tell import tell

FAILED = Plan(
    duration_s=900.0,
    unplug_s=800.0,
    request_s=(125.0, 790.0),
    cabin_s=None,
    drive_s=None,
    drop_outs=((400.0, 460.0),),
)


def points(plan, more=None):
    told = tell_supply(make_scene(*morning(plan, None, more))).told
    return {point.kind: point for point in told.points}, told


def test_a_failure_and_its_end_are_told():
    """Voltage gone for a minute under a connected cable is a loss and a return."""
    found, _ = points(FAILED)
    assert found["supply-lost"].t_s == pytest.approx(400.0, abs=1.0)
    assert found["supply-back"].t_s == pytest.approx(460.0, abs=1.0)
    assert "from 208 V to 0 V" in found["supply-lost"].because
    before, after = found["supply-lost"].evidence
    assert before.value == pytest.approx(208.0, abs=2.0) and after.value == 0.0


@pytest.mark.parametrize("lasts", [1.0, 2.0])
def test_a_dip_is_ridden_through(lasts):
    """Less than 3 s without voltage is no loss."""
    t = np.arange(0.0, 900.0, 0.1)
    live = (t >= 122.0) & (t < 800.0) & ~((t >= 400.0) & (t < 400.0 + lasts))
    plan = Plan(**{**FAILED.__dict__, "drop_outs": ()})
    found, _ = points(plan, {CHARGING + "ChargeVoltage.Phase1": np.where(live, 208.0, 0.0)})
    assert set(found) == {"plugged-in", "unplugged"}


def test_unplugging_is_no_failure():
    """Voltage that ends with the cable, or shortly before, is no loss."""
    t = np.arange(0.0, 900.0, 0.1)
    plan = Plan(**{**FAILED.__dict__, "drop_outs": ()})
    volts = np.where((t >= 122.0) & (t < 796.0), 208.0, 0.0)
    found, _ = points(plan, {CHARGING + "ChargeVoltage.Phase1": volts})
    assert set(found) == {"plugged-in", "unplugged"}


def test_a_supply_that_the_car_let_go_was_not_lost():
    """Nothing drawn for a minute, nothing wanted: the car opened its contactor."""
    plan = Plan(**{**FAILED.__dict__, "drop_outs": (), "request_s": (125.0, 300.0)})
    t = np.arange(0.0, 900.0, 0.1)
    volts = np.where((t >= 122.0) & (t < 500.0), 208.0, 0.0)
    amps = np.where((t >= 126.0) & (t < 310.0), 16.0, 0.0)
    found, _ = points(
        plan,
        {CHARGING + "ChargeVoltage.Phase1": volts, CHARGING + "ChargeCurrent.Phase1": amps},
    )
    assert set(found) == {"plugged-in", "unplugged"}


def test_without_a_voltage_the_pack_must_take_over():
    """Power alone: a failure is told if the pack had to feed what the supply had fed."""
    plan = Plan(
        **{
            **FAILED.__dict__,
            "cabin_s": (150.0, 790.0),
            "leave_out": ("ChargeVoltage", "ChargeCurrent", "Offered"),
        }
    )
    t = np.arange(0.0, 900.0, 0.1)
    given = np.where((t >= 126.0) & (t < 790.0) & ~((t >= 400.0) & (t < 480.0)), 4.0, 0.0)
    found, told = points(plan, {CHARGING + "OutputPower": given})
    assert any(lost.what == "supply-lost" for lost in told.lost)
    assert found["supply-lost"].t_s == pytest.approx(400.0, abs=2.0)


def test_without_a_cable_signal_the_doubt_is_said():
    """A failure looks like unplugging for a while, and the sentence says so."""
    plan = Plan(**{**FAILED.__dict__, "leave_out": ("IsChargingCable",)})
    found, told = points(plan)
    assert "unplugging for a while looks the same" in found["supply-lost"].because
    assert any(lost.what == "unplugged" for lost in told.lost)
    assert found["unplugged"].t_s == pytest.approx(800.0, abs=1.0)
    assert "unplugging and a failure look the same" in found["unplugged"].because


def test_driving_off_shows_that_it_was_unplugged():
    """Without a cable signal a drive after the supply's end tells that it was unplugged."""
    plan = Plan(
        duration_s=900.0, unplug_s=700.0, drive_s=(760.0, 890.0), leave_out=("IsChargingCable",)
    )
    told = tell_supply(scene(plan)).told
    assert told.points[-1].kind == "unplugged"
    assert told.points[-1].t_s == pytest.approx(700.0, abs=1.0)


def test_a_car_that_wakes_on_its_cable_was_not_plugged_in():
    """Without a cable signal a voltage that shows in the first seconds claims nothing."""
    plan = Plan(plug_s=4.0, request_s=(6.0, 2190.0), leave_out=("IsChargingCableConnected",))
    story = tell(*morning(plan))
    assert not [p for p in story.turning_points if p.kind == "plugged-in"]
    assert any(lost.what == "plugged-in" for lost in story.lost)
