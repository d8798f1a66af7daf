"""What holds charging back now."""

from dataclasses import replace

import numpy as np
import pytest

from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.held_back import (
    charging_shows,
    gives_all,
    has_room,
    is_pinned,
    nothing_flows,
    wish_of,
)
from thawline.forecast.supply_now import SupplyNow
from thawline.recording.flow import Flow
from thawline.recording.flows import Flows, make_flows
from thawline.story.tell import find_acts

ROOMY = SupplyNow("there", 0.0, 600.0, 11.0, 6.6, 0.9)


def test_a_supply_that_the_pack_helps_gives_all_it_can():
    """Common practice, no source: a charger with room left does not let the pack carry loads."""
    assert gives_all(ROOMY, -3.0)
    assert not gives_all(ROOMY, -0.1)
    assert not gives_all(replace(ROOMY, back_for_s=20.0), -3.0)
    assert gives_all(replace(ROOMY, ceiling_kW=None), -3.0)  # also where nothing tells its offer
    assert not gives_all(replace(ROOMY, state="lost"), -3.0)


def test_a_charging_power_shows_the_limit_only_while_the_supply_has_room():
    """Below what the supply could give, charging is held by the pack's own limit."""
    assert charging_shows(ROOMY, {"pack": 4.0}) == 4.0
    assert charging_shows(replace(ROOMY, drawn_kW=10.9), {"pack": 8.0}) is None
    assert charging_shows(replace(ROOMY, is_rated=False), {"pack": 4.0}) is None
    assert charging_shows(ROOMY, {"pack": -0.3}) is None


def test_nothing_flows_only_once_the_supply_was_there_for_long_enough():
    """A supply that came just now, or a pack whose power nobody records, shows nothing."""
    assert nothing_flows(ROOMY, {"pack": -0.1})
    assert not nothing_flows(replace(ROOMY, back_for_s=30.0), {"pack": -0.1})
    assert not nothing_flows(ROOMY, {"pack": 2.0})
    assert not nothing_flows(ROOMY, {})


def test_room_is_what_loads_leave_of_a_known_ceiling():
    """0.9 times 11 kW leave 0.9 kW beside 9 kW; an unknown ceiling leaves nothing known."""
    assert has_room(ROOMY, 9.0)
    assert not has_room(ROOMY, 9.5)
    assert not has_room(replace(ROOMY, ceiling_kW=None), 1.0)


def test_a_wish_is_read_or_unknown():
    """Whether charging is wanted is told by a signal, or not at all."""
    recording, _ = record(Build(), Morning(duration_s=600.0))
    wish = find_acts(recording, make_flows(recording)).wishes.charging
    assert wish is not None
    begins = next(stretch.begins.t_s for stretch in wish.stretches if stretch.begins)
    assert wish_of(wish, 500.0) is True
    assert wish_of(wish, begins - 10.0) is False
    assert wish_of(None, 500.0) is None


@pytest.mark.parametrize(
    ("supply", "pack", "pinned"),
    [
        ((3.7, 0.002), (-0.3, 0.1), True),  # loads wander, the pack takes it
        ((3.7, 0.1), (-0.3, 0.01), False),  # the supply follows the loads
        ((3.7, 0.002), (0.4, 0.1), False),  # the pack is charged
        ((3.7, 0.002), (-0.3, 0.005), False),  # nothing moves: it cannot be told
    ],
)
def test_a_supply_that_stands_still_beside_a_pack_that_does_not_is_at_its_ceiling(
    supply, pack, pinned
):
    """Loads change all the time: whoever does not follow them cannot."""
    rng = np.random.default_rng(3)
    t = np.arange(900.0)
    slow = np.repeat(rng.standard_normal(30), 30)
    flow = {
        name: Flow(level + spread * slow, 0.0 * t, ())
        for name, (level, spread) in {"supply": supply, "pack": pack}.items()
    }
    assert is_pinned(Flows(t, 1.0, flow, {}), 899.0) == pinned
