"""The cabin."""

import pytest

from thawline.simulator.cabin import Cabin, CabinState, heat_content_J, heated_W, step

CABIN = Cabin(heaters_W={"Left": 2000.0, "Right": 3000.0})
COLD = CabinState(-9.0, -9.0, -9.0, (0.0, 0.0))


def test_heat_of_air_inside_and_glass_is_kept():
    """What the heaters make is kept or lost to the outside."""
    state = CabinState(12.0, 3.0, -2.0, (1500.0, 2000.0))
    after = step(CABIN, state, (1500.0, 2000.0), True, -9.0, 0.25)
    gained = heat_content_J(CABIN, after) - heat_content_J(CABIN, state)
    assert gained == pytest.approx(3500.0 * 0.25 - after.lost_J, rel=1e-6)
    assert after.lost_J > 0.0


def test_heaters_share_the_heat_by_their_size_and_ramp():
    """A cold cabin brings all heaters to full power, each no faster than its ramp."""
    first = heated_W(CABIN, COLD, 21.0, {}, 1.0)
    assert first == pytest.approx((350.0, 350.0))
    state = COLD
    for _ in range(40):
        state = CabinState(-9.0, -9.0, -9.0, heated_W(CABIN, state, 21.0, {}, 1.0))
    assert state.heaters_W == pytest.approx((2000.0, 3000.0))


def test_nothing_is_heated_that_nobody_asked_for():
    """Without a set point heaters go to nothing and stay there."""
    assert heated_W(CABIN, COLD, None, {}, 1.0) == (0.0, 0.0)


def test_a_dead_heater_stays_cold():
    """A failed heater makes nothing; the other one does its part."""
    state = CabinState(-9.0, -9.0, -9.0, (0.0, 0.0))
    found = heated_W(CABIN, state, 21.0, {"Left": 1.0}, 100.0)
    assert found == pytest.approx((0.0, 3000.0))


def test_the_cabin_settles_where_heat_and_loss_agree():
    """Fifty minutes at a set point end near it, with interior and glass behind the air."""
    state = COLD
    for _ in range(12_000):
        state = step(CABIN, state, heated_W(CABIN, state, 21.0, {}, 0.25), True, -9.0, 0.25)
    assert 18.5 < state.air < 21.0
    assert state.glass < state.inside < state.air
