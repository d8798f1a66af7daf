"""What keeps charging from being more."""

import pytest

from tests.story.mornings import CHARGING, Plan, gannet, morning
from thawline.story import names
from thawline.story.tell import tell
from thawline.story.why_not import why_not
from thawline.vehicle.vehicle import Charger, Limits

PLAN = Plan(duration_s=1200.0, drive_s=None, unplug_s=1150.0, request_s=(125.0, 1140.0))


def ask(t_s, plan=PLAN, vehicle=None, more=None):
    recording, flows = morning(plan, vehicle, more)
    return why_not(recording, flows, tell(recording, flows), "charging", t_s)


def test_the_coldest_cell_with_the_numbers():
    """Cell, threshold, supply, and who takes it stand in the sentence."""
    found = ask(250.0)
    assert found.limit == "coldest-cell" and found.now_kW == 0.0
    assert found.because.startswith(
        "Charging is 0 kW: the coldest cell is at −3.6 °C, below the 0."
    )
    assert "the supply has 5.0 kW, of which 4.0 kW are drawn" in found.because
    assert "the drive-unit windings take 3.4 kW" in found.because
    assert found.evidence[0].signal == names.COLDEST


def test_without_the_limit_the_threshold_answers():
    """Below the prior the coldest cell answers; above it what the supply shows, or nothing."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("Limits", "Offered")})
    assert ask(250.0, plan, gannet(charger=Charger())).limit == "coldest-cell"
    found = ask(700.0, plan, gannet(charger=Charger()))
    assert found.limit == "loads-first" and "the highest level that" in found.because
    blind = Plan(**{**PLAN.__dict__, "leave_out": ("Limits", "Offered", "ChargeCurrent")})
    found = ask(700.0, blind, gannet(charger=Charger()))
    assert found.limit == "nothing-known" and "Limits.ChargePower" in found.because


def test_loads_that_nothing_records_come_first_too():
    """All of the supply is drawn and the pack gets little: something unseen takes the rest."""
    plan = Plan(**{**PLAN.__dict__, "leave_out": ("Heater",)})
    found = ask(700.0, plan)
    assert found.limit == "loads-first" and found.now_kW is not None


def test_no_cable_and_no_voltage_are_the_supply():
    """Without a cable, or with a dead one, the supply is the limit."""
    assert ask(50.0).limit == "supply" and "no cable is connected" in ask(50.0).because
    plan = Plan(**{**PLAN.__dict__, "drop_outs": ((300.0, 400.0),)})
    dead = ask(350.0, plan)
    assert dead.limit == "supply" and "no supply is there, 0 V" in dead.because


def test_not_requested_and_target_reached():
    """A request that is off, or a target that is reached, holds it."""
    assert ask(250.0, Plan(**{**PLAN.__dict__, "request_s": None})).limit == "not-requested"
    full = {CHARGING + "ChargeLimit": 80.0, names.CHARGE_SHOWN: 80.0}
    found = ask(950.0, more=full)
    assert found.limit == "target-reached" and "its target 80.0 %" in found.because


def test_loads_come_first():
    """A supply at its ceiling under heaters leaves nothing for the pack."""
    found = ask(700.0)
    assert found.limit == "loads-first"
    assert "the cabin takes 1.2 kW" in found.because
    assert "the pack's limit allows" in found.because


def test_the_supply_or_the_rating_alone():
    """Without heaters the offer binds, or the charger's rating if that is lower."""
    plan = Plan(**{**PLAN.__dict__, "cabin_s": None})
    found = ask(1000.0, plan)
    assert found.limit == "supply" and found.now_kW == pytest.approx(4.3, abs=0.3)
    rated = gannet(charger=Charger(rated_kW=5.0 - 0.05))
    assert ask(1000.0, plan, rated).limit == "charger-rating"


def test_a_limit_that_the_cold_does_not_explain_is_left_open():
    """At 30 °C a small limit is not the cold's; no reason is claimed."""
    plan = Plan(duration_s=700.0, start_degC=30.0, cabin_s=None, drive_s=None)
    found = ask(600.0, plan, gannet(limits=Limits()), {names.CHARGE_LIMIT: 0.0})
    assert found.limit == "nothing-known" and "no signal says why" in found.because
