"""What the car decides."""

from dataclasses import replace

import pytest

from thawline.simulator.conditioning import Conditioning, Mood, Sight, decide, pump_speed

PLAN = Conditioning(begins_s=0.0)
ASKED = Sight(-5.0, True, True, False, False, False)


def share(sight: Sight, mood: Mood | None = None) -> float:
    """Share of the heat that the car decides on."""
    return decide(PLAN, mood or Mood(), sight, 0.25)[1]


def test_full_heat_for_charging_when_plugged_in():
    """A charging request with a supply brings full heat, without a supply none."""
    assert share(ASKED) == 1.0
    assert share(replace(ASKED, is_live=False)) == 0.0


def test_a_cabin_request_alone_warms_the_pack_a_little():
    """Common practice, no source: asking for the cabin also warms the pack, more mildly."""
    assert 0.0 < share(Sight(-5.0, False, False, True, False, False)) < 0.5


def test_nothing_is_heated_unasked_or_while_driving():
    """Without a wish, or on the road, the drive units make no standstill heat."""
    assert share(replace(ASKED, wants_charge=False)) == 0.0
    assert share(replace(ASKED, drives=True)) == 0.0


def test_heat_tapers_and_ends_at_the_target():
    """Close to its target the car takes heat back, at the target it stops."""
    near = share(replace(ASKED, coldest_degC=PLAN.target_degC - 1.0))
    assert near == pytest.approx(1.0 / PLAN.taper_K)
    assert share(replace(ASKED, coldest_degC=PLAN.target_degC)) == 0.0


def test_heating_starts_again_only_when_the_pack_has_cooled():
    """Just below the target nothing starts again; far below it does."""
    mood, _, _ = decide(PLAN, Mood(), replace(ASKED, coldest_degC=PLAN.target_degC), 0.25)
    assert share(replace(ASKED, coldest_degC=PLAN.target_degC - 1.0), mood) == 0.0
    assert share(replace(ASKED, coldest_degC=PLAN.target_degC - 5.0), mood) > 0.0


def test_a_higher_target_is_heated_to_after_a_lower_one():
    """What was enough for the cabin is not enough for charging."""
    room = Sight(PLAN.cabin_target_degC, False, False, True, False, False)
    mood, _, _ = decide(PLAN, Mood(), room, 0.25)
    assert share(room, mood) == 0.0
    assert share(replace(ASKED, coldest_degC=PLAN.cabin_target_degC), mood) > 0.0


def test_a_target_that_was_reached_is_remembered_without_a_supply():
    """A supply that comes back finds the pack still warm enough."""
    mood, _, _ = decide(PLAN, Mood(), replace(ASKED, coldest_degC=PLAN.target_degC), 0.25)
    mood, _, _ = decide(PLAN, mood, replace(ASKED, coldest_degC=3.5, is_live=False), 0.25)
    assert share(replace(ASKED, coldest_degC=3.5), mood) == 0.0


def test_the_car_waits_before_it_heats():
    """The wait that the build names passes before the first heat."""
    plan, mood, waited = Conditioning(begins_s=3.0), Mood(), 0.0
    while (found := decide(plan, mood, ASKED, 0.25))[1] == 0.0:
        mood, waited = found[0], waited + 0.25
    assert waited == pytest.approx(3.0)


def test_the_pump_runs_on_after_the_heat():
    """The pump brings the metal's heat to the pack, then slows or stops."""
    assert pump_speed(PLAN, Mood(quiet_s=10.0), False, False, False) == 1.0
    assert pump_speed(PLAN, Mood(quiet_s=1e4), False, True, False) == PLAN.idle_speed
    assert pump_speed(PLAN, Mood(quiet_s=1e4), False, False, False) == 0.0


def test_a_temperature_that_was_asked_for_is_reached_and_kept():
    """The pack is heated beyond the car's own target if asked, and again after half a kelvin."""
    plan = Conditioning(target_degC=4.0)
    sight = Sight(6.0, True, False, False, True, False, pack_target_degC=9.0)
    mood, share, target = decide(plan, Mood(wants_s=10.0), sight, 1.0)
    assert target == 9.0
    assert share > 0.5
    kept, share, _ = decide(plan, mood, replace(sight, coldest_degC=9.0), 1.0)
    assert share == 0.0
    again, share, _ = decide(plan, kept, replace(sight, coldest_degC=8.6), 1.0)
    assert share == 0.0
    again, _, _ = decide(plan, again, replace(sight, coldest_degC=8.4), 1.0)
    for _ in range(5):
        again, share, _ = decide(plan, again, replace(sight, coldest_degC=8.4), 1.0)
    assert share > 0.0
