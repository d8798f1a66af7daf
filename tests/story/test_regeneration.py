"""Regeneration."""

import numpy as np
import pytest

from tests.story.mornings import BATTERY, MORE, Plan, Sensor, morning, true_points
from thawline.story.gates import regeneration_gate
from thawline.story.regeneration import regenerated, tell_regeneration
from thawline.story.scene import make_scene

PLAN = Plan(duration_s=900.0, drive_s=None)
DRIVEN = Plan(
    duration_s=900.0, plug_s=9e8, unplug_s=9e9, request_s=None, cabin_s=None,
    drive_s=(100.0, 880.0), leave_out=("Limits",),
)  # fmt: skip
T = np.arange(0.0, 900.0, 0.1)


def told(plan, more=None):
    here = make_scene(*morning(plan, None, more))
    return tell_regeneration(here, regeneration_gate(here))


@pytest.mark.parametrize("step", [0.1, 0.5])
def test_the_limit_leaves_zero_at_about_minus_one(step):
    """Common practice, no source: a first trickle at a coldest cell of about −1 °C."""
    plan = Plan(**{**PLAN.__dict__, "sensors": {"Limits.RegenerationPower": Sensor(0.5, step)}})
    found = told(plan)
    (point,) = found.points
    assert point.t_s == pytest.approx(true_points(plan)["regeneration-returns"], abs=5.0)
    assert point.because.startswith("The coldest cell reached −1.0 °C")
    assert point.evidence[0].value == pytest.approx(-1.0, abs=0.2)
    (span,) = found.spans
    assert span.to_s == 900.0 and span.level > 5.0


def test_a_limit_above_zero_from_the_start_does_not_return():
    """A warm car's regeneration was never away."""
    found = told(Plan(duration_s=300.0, start_degC=5.0, drive_s=None))
    assert found.points == () and len(found.spans) == 1


def test_without_a_temperature_the_reason_is_open():
    """The limit tells when, the sentence says what would tell why."""
    found = told(Plan(**{**PLAN.__dict__, "leave_out": ("Temperature",)}))
    assert "TractionBattery.Temperature.Min would tell why" in found.points[0].because


def braking(from_s):
    """A drive that brakes every two minutes, with power flowing back from an instant on."""
    speed = np.interp(T % 120.0, [0, 20, 80, 90, 120], [20, 60, 60, 20, 20])
    speed = np.where((T > 100.0) & (T < 880.0), speed, 0.0)
    slows = (T % 120.0 > 80.0) & (T % 120.0 < 90.0) & (T > 100.0) & (T < 880.0)
    power = np.where(slows & (from_s < T), -15.0, np.where(speed > 0.0, 6.0, 0.0))
    return {"Speed": speed, MORE["motor"]: power}


def test_without_a_limit_it_is_told_at_the_latest():
    """Braking without power flowing back, then with it: it returned between the two."""
    found = told(DRIVEN, braking(500.0))
    (point,) = found.points
    assert point.t_s == pytest.approx(560.0, abs=2.0)
    assert point.because.startswith("At the latest here")
    assert point.plus_minus_s == pytest.approx(120.0 / np.sqrt(12.0), abs=6.0)
    assert any(lost.what == "regeneration-returns" for lost in found.lost)


def test_what_was_never_away_does_not_return():
    """A warm car that regenerates at the first braking has no return."""
    warm = Plan(**{**DRIVEN.__dict__, "start_degC": 12.0})
    assert told(warm, braking(0.0)).points == ()


def test_power_flowing_back_is_read_from_motor_or_pack():
    """The motor's power where there is one, else current into the pack of the moving car."""
    here = make_scene(*morning(DRIVEN, None, braking(0.0)))
    power, name = regenerated(here)
    assert name == "driving" and np.nanmax(power) == pytest.approx(15.0, abs=0.2)
    here = make_scene(*morning(DRIVEN))
    assert regenerated(here)[1] == "pack"
    bare = Plan(**{**DRIVEN.__dict__, "leave_out": ("Limits", "Current")})
    assert regenerated(make_scene(*morning(bare))) is None
    assert told(bare).lost[0].what == "regeneration"


def test_flicker_of_the_limit_is_no_return():
    """A limit that shows one step for a second now and then has not returned."""
    path = BATTERY + "Limits.RegenerationPower"
    found = told(PLAN, {path: np.where(T % 37.0 < 1.0, 0.3, 0.0)})
    assert found.points == () and found.spans == ()


def test_a_return_that_no_signal_narrows_down_is_no_turning_point():
    """Power flows back half an hour after the cold: said as a stretch of time, not as a moment."""
    late = Plan(**{**DRIVEN.__dict__, "start_degC": -6.0})
    found = told(late, braking(0.0))
    far = [p for p in found.points if p.plus_minus_s > 60.0]
    assert far == []
    assert any(lost.what == "regeneration-returns" for lost in found.lost)


def test_one_braking_alone_shows_nothing():
    """A single stop on the friction brakes, then power flowing back: nothing had been away."""
    warm = Plan(**{**DRIVEN.__dict__, "start_degC": 12.0})
    assert told(warm, braking(250.0)).points == ()
