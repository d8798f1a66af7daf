"""What was wanted."""

import numpy as np

from tests.story.mornings import Plan, scene
from thawline.story import names
from thawline.story.requests import fell_near, read_wish, read_wishes

PLAN = Plan(duration_s=600.0, request_s=(125.0, 400.0), cabin_s=None, drive_s=None)


def test_a_wish_has_its_rise_and_its_fall():
    """Rise and fall are found within a sample."""
    wish = read_wish(scene(PLAN), names.CHARGE_WANTED)
    assert abs(wish.stretches[0].begins.t_s - 125.0) < 0.6 and abs(wish.falls()[0] - 400.0) < 0.6


def test_the_rise_before_an_instant_belongs_to_the_wish_that_holds():
    """Nothing is wanted before the rise nor after the fall."""
    wish = read_wish(scene(PLAN), names.CHARGE_WANTED)
    assert wish.rise_before(100.0, 1.0) is None
    assert abs(wish.rise_before(300.0, 1.0) - 125.0) < 0.6
    assert wish.rise_before(450.0, 1.0) is None


def test_what_was_wanted_from_the_start_has_no_rise():
    """A request that holds at the first sample was made at some time before."""
    wish = read_wish(scene(PLAN, conditioning=1.0), names.CONDITIONING_ON)
    assert wish.rise_before(300.0, 1.0) == float("-inf") and wish.falls() == []


def test_chatter_is_not_a_request():
    """A request that flickers for a second is none."""
    t = np.arange(0.0, 600.0, 0.1)
    chatter = ((t % 60.0) < 1.0).astype(float)
    assert read_wish(scene(PLAN, conditioning=chatter), names.CONDITIONING_ON).stretches == ()


def test_missing_signals_are_none_and_falls_are_found():
    """What is not recorded is None; what fell shortly before is listed."""
    wishes = read_wishes(scene(PLAN))
    assert wishes.conditioning is None
    ((wish, fall),) = fell_near([wishes.charging, wishes.conditioning], 410.0, 1.0)
    assert wish.path == names.CHARGE_WANTED and abs(fall - 400.0) < 0.6
    assert fell_near([wishes.charging], 300.0, 1.0) == []
