"""Current into the pack that comes from the supply."""

import numpy as np
import pytest

from tests.story.mornings import CHARGING, Plan, Sensor, morning, true_points, truth
from thawline.story.charging import find_charging, moves
from thawline.story.scene import make_scene
from thawline.story.supply import tell_supply
from thawline.story.tell import tell

SLOW = Plan(duration_s=1500.0, heat_capacity_kJ_per_K=300.0, amps=32.0, drive_s=None)


def charged(plan, more=None):
    here = make_scene(*morning(plan, None, more))
    return find_charging(here, tell_supply(here))


@pytest.mark.parametrize("noise", [0.0, 0.15])
@pytest.mark.parametrize("step", [0.05, 0.5])
def test_charging_begins_when_the_truth_says(noise, step):
    """Through dithering, noise and steps, the slow onset is found within 5 s."""
    plan = Plan(**{**SLOW.__dict__, "sensors": {"CurrentCurrent": Sensor(0.1, step, noise)}})
    (one,) = charged(plan).stretches
    assert one.begins.t_s == pytest.approx(true_points(plan)["charging-begins"], abs=5.0)


def test_dithering_about_zero_is_no_charging():
    """A pack current that sways about zero while heaters are fed makes no span."""
    plan = Plan(duration_s=900.0, request_s=(125.0, 800.0), drive_s=None, start_degC=-16.0)
    assert charged(plan).stretches == ()


def test_a_slow_sway_is_no_charging():
    """Half a kilowatt to and fro every half minute is regulation, not charging."""
    t = np.arange(0.0, 900.0, 0.1)
    sway = 1.3 * np.sin(2.0 * np.pi * t / 30.0)
    plan = Plan(duration_s=900.0, drive_s=None, start_degC=-16.0)
    path = "Powertrain.TractionBattery.CurrentCurrent"
    assert charged(plan, {path: sway}).stretches == ()


def test_a_long_failure_of_the_supply_ends_charging():
    """A failure that lasts longer than a heater's pause ends charging; a short one does not."""
    short = Plan(**{**SLOW.__dict__, "drop_outs": ((1000.0, 1030.0),), "duration_s": 1300.0})
    assert len(charged(short).stretches) == 1
    plan = Plan(**{**SLOW.__dict__, "drop_outs": ((1000.0, 1100.0),), "duration_s": 1300.0})
    one, other = charged(plan).stretches
    assert one.ends.t_s == pytest.approx(1000.0, abs=2.0)
    assert other.begins.t_s > 1100.0


def test_regeneration_is_no_charging():
    """Current into the pack of a moving car is not charging, even without a supply signal."""
    t = np.arange(0.0, 600.0, 0.1)
    current = np.where((t > 200.0) & (t < 300.0), 60.0, -20.0)
    plan = Plan(
        duration_s=600.0, plug_s=9e8, unplug_s=9e9, request_s=None, cabin_s=None,
        drive_s=(100.0, 500.0), leave_out=("Charge",),
    )  # fmt: skip
    path = "Powertrain.TractionBattery.CurrentCurrent"
    found = charged(plan, {path: current})
    assert found.stretches == () and found.lost[0].what == "charging"
    here = make_scene(*morning(plan))
    assert moves(here)[300] and not moves(here)[50]


def test_without_the_packs_current_the_balance_or_the_state_tells():
    """Charger output less loads, or else the car's own state; each says what it costs."""
    plan = Plan(**{**SLOW.__dict__, "leave_out": ("CurrentCurrent",)})
    t = np.arange(0.0, 1500.0, 0.1)
    true = truth(plan)[1]
    given = true["heat"] + true["cabin_heat"] + np.where(t > 900.0, 2.0, 0.0)
    balance = charged(plan, {CHARGING + "OutputPower": given})
    assert "no recorded load takes" in balance.lost[0].because
    assert balance.stretches[0].begins.t_s == pytest.approx(900.0, abs=2.0)
    state = charged(plan, {CHARGING + "IsCharging": (t > 700.0).astype(float)})
    assert state.kW is None and state.stretches[0].begins.t_s == pytest.approx(700.0, abs=0.6)
    assert "only heaters" in state.lost[0].because
    assert charged(plan).stretches == () and charged(plan).lost[0].what == "charging"


def test_what_no_heater_is_known_to_take_is_not_taken_for_charging():
    """Neither pack current nor heaters are recorded: the charger's output proves nothing."""
    plan = Plan(leave_out=("CurrentCurrent", "StandstillHeat"))
    story = tell(*morning(plan, None, {CHARGING + "OutputPower": 4.0}))
    assert not [p for p in story.turning_points if p.kind == "charging-begins"]
    assert any(lost.what == "charging" for lost in story.lost)
