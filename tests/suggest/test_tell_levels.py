import numpy as np
import pytest

from thawline.suggest.anchors import Anchors
from thawline.suggest.balance import Balance
from thawline.suggest.kinds import Reading, kinds
from thawline.suggest.places import (
    CURRENT,
    FLOW,
    LOW_BATTERY,
    SPEED,
    SPEED_OF,
    VOLTAGE,
    supply_voltage,
)
from thawline.suggest.tell_levels import tell_levels

NOTHING = Anchors(None, (), (), Balance(), (), ())
T = np.arange(600.0)


def told(*made):
    by_kind = {kind: [] for kind in kinds()}
    for one in made:
        by_kind[one.kind].append(one)
    return {vote.path: vote.key for vote in tell_levels(NOTHING, by_kind)}


def of(key, kind, unit, values, said=True):
    return Reading(key, kind, unit, np.asarray(values, dtype=float), 0.1, said, 1)


def test_voltages_by_their_level():
    """350 V, 230 V and 13 V are a pack, a supply and the low-voltage battery."""
    wave = np.sin(T / 9.0)
    assert told(
        of("hv", "voltage", "V", 352.0 + wave),
        of("ac", "voltage", "V", 230.0 + wave),
        of("lv", "voltage", "V", 13.4 + 0.2 * wave),
    ) == {VOLTAGE: "hv", supply_voltage(1): "ac", LOW_BATTERY: "lv"}


def test_without_a_unit_a_level_says_nothing():
    """352 without a unit may be anything."""
    assert told(of("x", "voltage", "V", 352.0 + np.sin(T), said=False)) == {}


def test_a_current_that_runs_both_ways_is_the_packs():
    """No supply's current does."""
    assert told(of("i", "current", "A", 20.0 * np.sin(T / 9.0)))[CURRENT] == "i"


@pytest.mark.parametrize(("per_kmh", "is_motor"), [(90.0, True), (8.0, False)])
def test_a_motor_turns_in_a_fixed_ratio_to_the_speed(per_kmh, is_motor):
    """Some 60 to 130 turns a minute for each km/h (common practice, no source); wheels turn 8."""
    speed = np.clip(T - 100.0, 0.0, 60.0)
    found = told(
        of("v", "velocity", "km/h", speed),
        of("n", "rotation", "rpm", speed * per_kmh),
        of("n2", "rotation", "rpm", 800.0 + T),
        of("n3", "rotation", "rpm", 900.0 - T),
    )
    assert found[SPEED] == "v"
    assert (found.get(SPEED_OF) == "n") is is_motor


def test_the_only_flow_is_the_coolants():
    """Volume flows are rare on a bus; of two, neither is sure."""
    one, two = (of(key, "flow", "l/min", 5.0 + np.sin(T / 9.0)) for key in "ab")
    assert told(one)[FLOW] == "a"
    votes = list(tell_levels(NOTHING, {**{k: [] for k in kinds()}, "flow": [one, two]}))
    assert max(vote.weight for vote in votes) < 1.0
