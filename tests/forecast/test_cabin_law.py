"""What is read of a cabin's controller."""

from dataclasses import replace

import numpy as np
import pytest

from tests.forecast.cabin_car import Cabin, record_cabin
from tests.warmup.proving_car import Morning
from thawline.forecast.cabin_law import Law, draw_law, ends_degC, read_heater
from thawline.forecast.cut import cut_at
from thawline.forecast.situation import read_situation
from thawline.recording.flows import make_flows
from thawline.story.tell import find_acts, tell
from thawline.warmup.cabin import cabin_case
from thawline.warmup.case import make_case

SHAPE = (64, 4)
MORNING = Morning(duration_s=2400.0, start_degC=-8.0, outside_degC=-9.0, offer_kW=11.0)


def laws(cabin, now, morning=MORNING):
    """Read and draw the laws at an instant."""
    recording, _ = record_cabin(cabin, morning)
    part = cut_at(recording, now)
    flows = make_flows(part)
    case = make_case(part, flows, tell(part, flows), now)
    situation = read_situation(part, flows, find_acts(part, flows), case, None, now)
    own = cabin_case(part, flows, case.grid, case.sources.cabin_kW)
    heater = read_heater(own, situation.cabin_kW)
    return own, heater, draw_law(heater, own, situation, SHAPE, np.random.default_rng(1))


@pytest.mark.parametrize(("set_degC", "band_K"), [(19.5, 2.0), (23.0, 4.0)])
def test_a_heater_that_eases_off_tells_its_law(set_degC, band_K):
    """Nobody records it: most laws give the power of now at the air of now, none the full one."""
    cabin = Cabin(set_degC=set_degC, band_K=band_K, heater_kW=6.0)
    own, heater, law = laws(cabin, 1500.0)
    assert heater.level_kW < 0.9 * heater.best_kW
    asks = law.top_kW * np.clip((law.set_degC - own.degC[-30:].mean()) / law.band_K, 0.0, 1.0)
    line = ~law.holds
    assert abs(np.median(asks[line]) - heater.level_kW) < 0.1 * heater.level_kW
    assert np.quantile(asks[line], 0.95) < 0.8 * heater.best_kW
    assert np.mean(law.set_degC > own.degC[-1]) > 0.95
    assert np.quantile(law.set_degC, 0.05) < set_degC + 1.0
    assert np.quantile(law.set_degC, 0.95) > set_degC


def test_a_heater_at_full_power_eases_off_only_above_the_air_of_now():
    """Nine laws in ten have the beginning of their band above it, within half a degree."""
    own, heater, law = laws(Cabin(heater_kW=2.4, set_degC=22.0), 1300.0)
    assert heater.shares.min() > 0.95
    assert np.mean(law.set_degC - law.band_K > own.degC[-1] - 0.5) > 0.9
    assert np.median(law.top_kW) == pytest.approx(2.4, rel=0.03)


def test_a_power_that_falls_and_stays_while_the_air_rises_is_a_lower_ceiling():
    """A supply that the pack shares: no set point explains it, so the ceiling is what is left."""
    cabin = Cabin(heater_kW=6.0, is_shared=True, on_s=((100.0, 2400.0),))
    _, heater, law = laws(cabin, 700.0, replace(MORNING, request_s=250.0))
    assert heater.level_kW < 0.7 * heater.best_kW
    assert np.mean(np.isclose(law.top_kW, heater.level_kW, rtol=0.05)) > 0.9


def test_a_heater_that_gets_what_others_leave_of_a_supply_will_get_more():
    """All that the supply gives is taken: every law has a time at which it may give more."""
    cabin = Cabin(heater_kW=6.0, is_shared=True)
    _, heater, law = laws(cabin, 900.0, replace(MORNING, offer_kW=9.6))
    assert heater.level_kW < 3.0
    assert np.all(np.isfinite(law.freed_s))
    assert np.all(law.freed_kW >= law.top_kW)
    _, _, free = laws(Cabin(heater_kW=1.5), 900.0)
    assert np.all(np.isinf(free.freed_s))


def test_a_cabin_that_is_asked_for_and_gets_nothing_waits():
    """A supply smaller than the heat: no power now, and some later, within what it gives."""
    own, _, law = laws(Cabin(is_shared=True), 900.0, replace(MORNING, offer_kW=3.7))
    assert own.waits_s == pytest.approx(600.0, abs=5.0)
    assert np.all(law.top_kW == 0.0)
    assert np.all(law.freed_s > 900.0)
    assert np.all((law.freed_kW > 0.0) & (law.freed_kW < 3.7))
    heated, _, _ = laws(Cabin(), 900.0)
    assert heated.waits_s == 0.0


def test_a_recorded_set_point_is_taken():
    """Laws lie about it, by what two thermometers in a cabin differ."""
    _, _, law = laws(Cabin(set_degC=19.0, shows_target=True, comfortable_degC=None), 420.0)
    assert abs(np.median(law.set_degC) - 19.0) < 0.2
    assert np.std(law.set_degC) < 0.6


def test_a_heater_still_rising_may_rise_further():
    """Twenty seconds into a ramp of a minute no law has a ceiling below now."""
    _, heater, law = laws(Cabin(heater_kW=6.0, ramp_s=60.0), 325.0)
    assert heater.is_rising
    assert np.all(law.top_kW >= heater.level_kW)
    assert np.max(law.top_kW) > 1.3 * heater.level_kW


def test_an_assumed_power_tells_nothing_of_the_law():
    """Only the request is recorded: no shares to judge by."""
    _, heater, _ = laws(Cabin(shows_power=False), 500.0, replace(MORNING, leave_out=("Current",)))
    assert len(heater.shares) == 0


def test_a_cabin_ends_where_heat_and_loss_are_equal():
    """In proportion: top (set - T) / band = (T - outside) / R, solved for T; else at its set."""
    one = np.ones((1, 1))
    never = one * np.inf
    law = Law(4.0 * one, 21.0 * one, 3.0 * one, one < 0.0, never, 4.0 * one)
    found = float(ends_degC(law, np.array([12.0]), -10.0)[0, 0])
    assert 4.0 * (21.0 - found) / 3.0 == pytest.approx((found + 10.0) / 12.0)
    holding = replace(law, holds=one > 0.0)
    assert float(ends_degC(holding, np.array([12.0]), -10.0)[0, 0]) == 21.0
    assert float(ends_degC(holding, np.array([5.0]), -10.0)[0, 0]) == 10.0
