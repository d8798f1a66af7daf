from dataclasses import replace

import numpy as np

from tests.suggest import morning
from tests.suggest.looked import anchors
from thawline.suggest.candidate import Candidate
from thawline.suggest.places import CABIN_WANTED, CABLE_OF, CHARGING_WANTED, CONDITIONING
from thawline.suggest.tell_states import tell_states

T = np.arange(morning.SECONDS)
HEATER = [key for key, path in morning.scene()[1].items() if path == morning.PATHS["cabin_heat"]]


def state(key, on, codes=(0.0, 1.0)):
    values = np.where(on, codes[-1], codes[0])
    return Candidate(key, "", values, 1.0, tuple(sorted(codes)), order=50)


def told(*states):
    return [vote for vote in tell_states(states, anchors(), HEATER) if vote.weight > 3.0]


HEATS = morning.curves()["heat"] > 0.05


def test_the_cable_comes_before_the_supply_and_the_wish_after():
    """Two states that are on while plugged in are told by which comes first."""
    cable = state("cable", morning.PLUGGED_AT - 2 <= T)
    wish = state("wish", morning.PLUGGED_AT + 8 <= T)
    assert {(v.path, v.key) for v in told(cable, wish)} == {
        (CABLE_OF, "cable"),
        (CHARGING_WANTED, "wish"),
    }


def test_the_codes_that_mean_on_are_found():
    """1 open, 4 plugged: on is 4 only, and the file must say so."""
    (vote,) = told(state("lock", morning.PLUGGED_AT - 2 <= T, codes=(1.0, 4.0)))
    assert vote.true_when == (4.0,)


def test_what_goes_on_is_told_from_what_is_wished():
    """Conditioning begins with the heat; a wish that leads by ten seconds is not it."""
    ongoing = state("ongoing", HEATS)
    early = state("early", HEATS | ((T > morning.PLUGGED_AT - 12) & (T <= morning.PLUGGED_AT)))
    assert (CONDITIONING, "ongoing") in {(v.path, v.key) for v in told(ongoing)}
    assert CONDITIONING not in {v.path for v in told(early)}


def test_the_cabins_wish_goes_with_its_heaters():
    """It is on when they draw power."""
    wish = state("cabin", T >= morning.CABIN_AT)
    assert (CABIN_WANTED, "cabin") in {(v.path, v.key) for v in told(wish)}


def test_a_state_that_goes_with_nothing_is_left():
    """A blinking one."""
    assert told(state("blinks", (T // 37) % 2 == 0)) == []


def test_numbers_are_no_states():
    """A curve with a unit is not looked at."""
    curve = replace(morning.candidate("heat", 60), codes=(0.0, 3.4))
    assert told(curve) == []
