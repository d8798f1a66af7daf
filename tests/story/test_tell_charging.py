"""Charging: turning points and their reasons."""

import numpy as np
import pytest

from tests.story.mornings import CHARGING, Plan, gannet, morning, true_points
from thawline.story import names
from thawline.story.tell import tell
from thawline.vehicle.vehicle import Limits

SLOW = Plan(
    duration_s=1300.0, heat_capacity_kJ_per_K=300.0, amps=32.0, unplug_s=1250.0,
    request_s=(125.0, 1240.0), drive_s=None,
)  # fmt: skip


def points(plan, more=None, vehicle=None):
    story = tell(*morning(plan, vehicle, more))
    found = {}
    for point in story.turning_points:
        found.setdefault(point.kind, point)
    return found


def test_the_coldest_cell_lets_charging_begin():
    """Cell, limit and supply stand in the sentence and in the evidence, with the threshold."""
    point = points(SLOW)["charging-begins"]
    assert point.t_s == pytest.approx(true_points(SLOW)["charging-begins"], abs=5.0)
    assert point.because.startswith("The coldest cell reached 0.2 °C and the charging limit left")
    assert "The supply had 6.7 kW to give" in point.because
    evidence = {e.signal: e for e in point.evidence}
    assert evidence[names.COLDEST].threshold == pytest.approx(0.2, abs=0.15)
    assert evidence[names.CHARGE_LIMIT].value > 0.2 and "supply" in evidence


def test_without_the_limit_the_temperature_is_named_with_its_doubt():
    """Without the limit's signal the prior is quoted, and the signal that would tell."""
    plan = Plan(**{**SLOW.__dict__, "leave_out": ("Limits",)})
    because = points(plan)["charging-begins"].because
    assert "as the vehicle file says" in because and "Limits.ChargePower would tell" in because
    usual = points(plan, vehicle=gannet(limits=Limits()))["charging-begins"].because
    assert "by common practice" in usual


def test_heating_that_ends_leaves_the_supply_to_the_pack():
    """With heaters taking all, charging begins when they stop."""
    point = points(Plan(duration_s=1100.0, drive_s=None))["charging-begins"]
    assert "Heating of the pack ended" in point.because


def test_a_request_in_the_warm_is_the_reason():
    """A warm car that is asked to charge charges because it was asked."""
    plan = Plan(
        duration_s=700.0, start_degC=9.0, cabin_s=None, request_s=(300.0, 690.0), drive_s=None
    )
    point = points(plan, {names.CHARGE_LIMIT: 60.0})["charging-begins"]
    assert point.t_s == pytest.approx(302.0, abs=5.0)
    assert point.because.startswith("Charging was requested with the coldest cell at 9")


def test_what_comes_back_lets_it_begin_again():
    """After a failure of the supply, its return is the reason."""
    plan = Plan(**{**SLOW.__dict__, "drop_outs": ((950.0, 1060.0),)})
    story = tell(*morning(plan))
    again = [p for p in story.turning_points if p.kind == "charging-begins"][1]
    assert again.because.startswith("The supply came back (32 A at 208 V")
    ends = next(p for p in story.turning_points if p.kind == "charging-ends")
    assert ends.because == "The supply ended."


def test_a_short_failure_cuts_the_span_without_more_turning_points():
    """Supply-lost and supply-back say it all; the lane shows that nothing was charged."""
    story = tell(*morning(Plan(**{**SLOW.__dict__, "drop_outs": ((1000.0, 1030.0),)})))
    kinds = [point.kind for point in story.turning_points]
    assert kinds.count("charging-begins") == 1 and "supply-lost" in kinds
    one, other = [span for span in story.spans if span.lane == "charging"]
    assert one.to_s == pytest.approx(1000.0, abs=1.5)
    assert other.from_s == pytest.approx(1030.0, abs=3.0)


def test_the_ends_of_charging_have_their_reasons():
    """No longer asked for; target reached; unplugged."""
    assert points(SLOW)["charging-ends"].because == "Charging was no longer requested."
    full = {
        CHARGING + "ChargeLimit": 60.0,
        "Powertrain.TractionBattery.StateOfCharge.Current": 60.2,
    }
    plan = Plan(**{**SLOW.__dict__, "leave_out": ("IsRequested",)})
    assert "its target of 60.0 %" in points(plan, full)["charging-ends"].because
    plan = Plan(**{**SLOW.__dict__, "request_s": (125.0, 1290.0)})
    assert points(plan)["charging-ends"].because in ("The car was unplugged.", "The supply ended.")


def test_no_reason_is_claimed_without_a_signal():
    """With limit, request, temperature and voltage unknown, the sentence names what might tell."""
    plan = Plan(
        **{**SLOW.__dict__, "leave_out": ("Limits", "IsReq", "Temperature", "Heat", "Volt")}
    )
    t = np.arange(0.0, 1300.0, 0.1)
    into = np.where((t > 400.0) & (t < 800.0), 10.0, 0.0)
    found = points(plan, {"Powertrain.TractionBattery.CurrentPower": into * 380.0})
    assert found["charging-begins"].because.startswith("No signal says why charging began (")
    assert found["charging-ends"].because.startswith("No signal says why charging ended (")


def test_spans_tell_the_energy():
    """A span's energy is its mean power times its time."""
    (span,) = [s for s in tell(*morning(SLOW)).spans if s.lane == "charging"]
    kWh = span.level * (span.to_s - span.from_s) / 3600.0
    assert span.because.startswith(f"{kWh:.2f} kWh went into the pack")
