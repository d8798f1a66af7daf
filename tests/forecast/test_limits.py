"""Learning limits from mornings whose limits are known."""

from dataclasses import replace

import numpy as np
import pytest

from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.allowed import usual_limit
from thawline.forecast.limits import coldest_curve, learn
from thawline.forecast.limits_today import carried_on, with_today
from thawline.recording.flows import make_flows
from thawline.story.tell import find_acts

BUILD = Build(regeneration_from=-1.6, charging_from=0.9, heat_until=7.0)


@pytest.fixture(scope="module")
def mornings():
    """Two mornings of one car."""
    return [
        record(BUILD, Morning(start_degC=start, outside_degC=start, seed=seed, duration_s=3300.0))
        for seed, start in ((11, -8.0), (12, -5.0))
    ]


def test_thresholds_are_learned_to_a_fifth_of_a_kelvin(mornings):
    """Where limits leave zero, and where heating stops, with honest spreads."""
    found = learn([recording for recording, _ in mornings])
    assert found.regeneration.from_degC == pytest.approx(-1.6, abs=0.2)
    assert found.charging.from_degC == pytest.approx(0.9, abs=0.2)
    assert abs(found.regeneration.from_degC + 1.6) < 3.0 * found.regeneration.sd_K
    assert found.heat_until_degC == pytest.approx(7.0, abs=0.3)
    assert found.heat_kW == pytest.approx(6.8, abs=0.1)
    assert found.flow_share == pytest.approx(1.0, abs=0.1)
    assert found.mornings == 2


def test_curves_are_learned_where_they_were_seen(mornings):
    """At 2 and 4 K above its beginning the power is the car's own, within a tenth."""
    found = learn([recording for recording, _ in mornings])
    for above in (2.0, 4.0):
        true = BUILD.slope_kW_per_K * above + BUILD.bend_kW_per_K2 * above**2
        assert float(found.regeneration.allowed_kW(above)) == pytest.approx(true, rel=0.1)


def test_more_mornings_are_surer(mornings):
    """Two mornings that agree leave a smaller spread than one."""
    one = learn([mornings[0][0]])
    two = learn([recording for recording, _ in mornings])
    assert two.regeneration.sd_K < one.regeneration.sd_K


def test_nothing_is_learned_from_nothing():
    """No recordings, no limits; a morning too short to show one leaves it open."""
    assert learn([]) is None
    short, _ = record(BUILD, Morning(duration_s=400.0))
    found = learn([short])
    assert found.regeneration is None
    assert found.charging is None


def test_today_teaches_a_slope_once_enough_of_it_is_seen(mornings):
    """After the limit has opened, the recording itself shows how it grows."""
    recording, _ = mornings[0]
    acts = find_acts(recording, make_flows(recording))
    found = with_today(None, acts, recording.vehicle)
    assert found.regeneration.origin == "learned"
    assert found.regeneration.knots_K[-1] > 2.0
    short, _ = record(BUILD, Morning(duration_s=400.0))
    assert with_today(None, find_acts(short, make_flows(short)), short.vehicle) is None


def test_the_coldest_cell_is_read_between_edges():
    """A reading in whole degrees is followed to a fifth of a kelvin or better while it rises."""
    recording, true = record(BUILD, Morning(steps={"Temperature.Min": 1.0}, duration_s=2400.0))
    t = np.arange(900.0, 2200.0, 20.0)
    off = coldest_curve(recording, t) - np.interp(t, np.arange(0.0, 2400.0, 0.5), true["coldest"])
    assert np.abs(off).max() < 0.2


def test_a_slope_of_which_little_was_seen_goes_on_as_is_usual(mornings):
    """What is allowed 6 K on lies between the seen slope and the usual one, and is told wider."""
    recording, _ = mornings[0]
    usual = usual_limit(recording.vehicle, "regeneration")
    (knots_K, knots_kW), sigma = carried_on((0.0, 1.0), (0.0, 0.1), usual, 0.2)
    assert 0.1 < (knots_kW[-1] - 0.1) / (knots_K[-1] - 1.0) < usual.slope_kW_per_K
    _, surer = carried_on((0.0, 8.0), (0.0, 0.8), usual, 0.2)
    assert surer < sigma < usual.sigma + 0.1


def test_a_jump_at_the_opening_is_no_slope(mornings):
    """A limit that opens with 1 kW and grows by 2 kW/K goes on with little more than 2 kW/K."""
    usual = replace(usual_limit(mornings[0][0].vehicle, "regeneration"), sigma=3.0)
    seen_K = (0.0, 0.25, 0.75, 1.25, 1.75)
    seen_kW = (0.0, 1.5, 2.5, 3.5, 4.5)
    (knots_K, knots_kW), _ = carried_on(seen_K, seen_kW, usual, 0.05)
    slope = (knots_kW[-1] - seen_kW[-1]) / (knots_K[-1] - seen_K[-1])
    assert slope == pytest.approx(2.0, rel=0.05)


def test_a_coarse_reading_tells_nothing_behind_its_last_edge(mornings):
    """Whole degrees stand still between steps: behind the last one nothing is known."""
    recording, _ = mornings[0]
    t = np.arange(900.0, 2200.0, 20.0)
    between = coldest_curve(recording, t, between_edges=True)
    everywhere = coldest_curve(recording, t)
    assert between is not None and everywhere is not None
    known = ~np.isnan(between)
    assert known.any()
    assert np.array_equal(between[known], everywhere[known])
    assert not np.isnan(everywhere).any()
