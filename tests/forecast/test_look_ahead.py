"""Forecasts from instants of known mornings."""

import re
from dataclasses import replace

import numpy as np
import pytest

from tests.warmup.proving_car import CHARGING, Build, Morning, record
from thawline.errors import RequestError
from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.cut import cut_at
from thawline.forecast.limits import learn
from thawline.forecast.look_ahead import look_ahead
from thawline.forecast.settings import setting
from thawline.recording.flows import make_flows
from thawline.story.tell import tell
from thawline.warmup.fit import fit

PLAIN = Morning(duration_s=3000.0)


@pytest.fixture(scope="module")
def plain():
    """A plain morning: heat from 90 s on, thaw near 1970 s."""
    return record(Build(), PLAIN)


def ahead(recording, now, limits=None, levels=()):
    """Cut, fit and look ahead."""
    part = cut_at(recording, now)
    flows = make_flows(part)
    story = tell(part, flows)
    return look_ahead(part, flows, story, fit(part, flows, story), limits, now, levels)


def point(forecast, kind, level=None):
    return next(p for p in forecast.turning_points if (p.kind, p.level_kW) == (kind, level))


def thaw(recording, now, limits=None):
    return point(ahead(recording, now, limits), "coldest-cell-thaws")


def came(recording, kind):
    points = tell(recording, make_flows(recording)).turning_points
    return next(p.t_s for p in points if p.kind == kind)


def test_ten_minutes_in_the_thaw_is_known_to_a_few_minutes(plain):
    """p50 within 8 % of the time left, p10 to p90 around the truth and not wider than half."""
    recording, _ = plain
    at, found = came(recording, "coldest-cell-thaws"), thaw(recording, 700.0)
    assert abs(found.p50_s - at) < 0.08 * (at - 700.0) + 20.0
    assert found.p10_s < at < found.p90_s
    assert found.p90_s - found.p10_s < 0.5 * (at - 700.0)


def test_the_first_guess_is_right_within_a_factor_of_two(plain):
    """Before heating begins, from priors alone: thaw and regeneration; it says what it assumes."""
    recording, _ = plain
    forecast = ahead(recording, 70.0)
    for kind in ("coldest-cell-thaws", "regeneration-returns"):
        ratio = (point(forecast, kind).p50_s - 70.0) / (came(recording, kind) - 70.0)
        assert 0.5 < ratio < 2.0
    assert any("Heating begins now, with 6.8 kW" in text for text in forecast.assumes)
    assert "first guess" in forecast.verdict


def test_no_sample_after_now_is_used(plain):
    """A recording that goes mad later gives the same forecast, to the last digit."""
    recording, _ = plain
    mad = {
        path: replace(c, values=np.where(c.t > 900.0, 1.7 * c.values + 5.0, c.values))
        for path, c in recording.channels.items()
    }
    one, other = (
        ahead(r, 900.0, levels=(10.0,)) for r in (recording, replace(recording, channels=mad))
    )
    for a, b in zip(one.turning_points, other.turning_points, strict=True):
        assert np.array_equal(a.times_s, b.times_s)


def test_the_same_question_has_the_same_answer(plain):
    """The seed is fixed."""
    recording, _ = plain
    assert thaw(recording, 800.0).p50_s == thaw(recording, 800.0).p50_s


def test_a_forecast_that_goes_on_is_the_same_as_one_made_anew(plain):
    """Filters that go on from the forecast before change no number of any turning point."""
    recording, _ = plain
    before = warmup = None
    for now in (800.0, 806.0, 812.5, 841.0):
        part = cut_at(recording, now)
        flows = make_flows(part)
        story = tell(part, flows)
        warmup = warmup or fit(part, flows, story)
        on = look_ahead(part, flows, story, warmup, None, now, (10.0,), before=before)
        anew = look_ahead(part, flows, story, warmup, None, now, (10.0,))
        for one, other in zip(on.turning_points, anew.turning_points, strict=True):
            assert np.allclose(one.times_s, other.times_s, rtol=1e-9)
        before = on
    assert before is not None and before.alone().kept == (None, None)


def test_what_has_come_is_told_with_its_time(plain):
    """After the thaw all three quantiles are when it came."""
    recording, _ = plain
    found = thaw(recording, 2400.0)
    assert found.is_past
    assert found.p10_s == found.p50_s == found.p90_s
    assert found.p50_s == pytest.approx(came(recording, "coldest-cell-thaws"), abs=3.0)


def test_more_regeneration_comes_later(plain):
    """Each higher power is reached later, and after regeneration returns at all."""
    recording, _ = plain
    forecast = ahead(recording, 1000.0, levels=(5.0, 10.0, 20.0))
    times = [point(forecast, "regeneration-returns").p50_s]
    times += [point(forecast, "regeneration-at-kW", level).p50_s for level in (5.0, 10.0, 20.0)]
    assert times == sorted(times)
    assert times[0] < times[1] < times[2] < times[3]


def test_earlier_mornings_make_it_sharper(plain):
    """With learned limits regeneration is told more narrowly, and still rightly."""
    recording, _ = plain
    limits = learn([record(Build(), Morning(start_degC=-7.0, outside_degC=-8.0, seed=21))[0]])
    at = came(recording, "regeneration-returns")
    usual = point(ahead(recording, 1200.0), "regeneration-returns")
    learned = point(ahead(recording, 1200.0, limits), "regeneration-returns")
    assert learned.p90_s - learned.p10_s < 0.8 * (usual.p90_s - usual.p10_s)
    assert abs(learned.p50_s - at) < 60.0
    assert "as earlier mornings showed" in learned.because


def test_a_lost_supply_stops_the_heat_and_the_forecast_waits():
    """Out for four minutes: later by minutes, wider, and the answer says so."""
    recording, _ = record(Build(), Morning(duration_s=1400.0, supply_out_s=(900.0, 1400.0)))
    before, after = thaw(recording, 890.0), ahead(recording, 1140.0)
    found = point(after, "coldest-cell-thaws")
    assert found.p50_s > before.p50_s + 200.0
    assert found.p90_s is None or found.p90_s - found.p10_s > 2.0 * (before.p90_s - before.p10_s)
    assert any("supply has been lost" in text for text in after.assumes)


def test_loads_come_before_the_pack():
    """On a supply smaller than the heat charging waits for heating to end, not for the cells."""
    recording, _ = record(Build(), replace(PLAIN, offer_kW=5.0, duration_s=3400.0))
    limits = learn([record(Build(), Morning(start_degC=-7.0, outside_degC=-8.0, seed=22))[0]])
    forecast = ahead(recording, 1500.0, limits)
    charging, thawed = (point(forecast, k) for k in ("charging-begins", "coldest-cell-thaws"))
    assert charging.p50_s > thawed.p50_s + 200.0
    begins = came(recording, "charging-begins")
    assert abs(charging.p50_s - begins) < 200.0
    assert charging.p10_s < begins < charging.p90_s


def test_windings_that_are_spared_give_less_heat():
    """A car that throttles at 70 °C is forecast by what it will give, within a tenth."""
    build = Build(spare_from_degC=70.0, iron_to_coolant=0.06)
    recording, true = record(build, replace(PLAIN, duration_s=4200.0))
    assert true["heat"][3000] < 6.0
    at, found = came(recording, "coldest-cell-thaws"), thaw(recording, 1300.0)
    assert abs(found.p50_s - at) < 0.1 * (at - 1300.0)


def test_a_cold_that_cannot_be_beaten_may_never_thaw():
    """A car known to stop heating at -14 °C leaves the thaw with a large chance of never."""
    recording, _ = record(Build(), replace(PLAIN, start_degC=-20.0, outside_degC=-22.0))
    stops = LearnedLimits(None, None, -14.0, 0.5, 6.8, 1.0, 3)
    found = thaw(recording, 600.0, stops)
    assert found.never > 0.4
    assert found.p90_s is None


def test_a_warm_car_has_nothing_to_wait_for():
    """Limits that were never away and a pack above zero are left out."""
    warm = Morning(duration_s=600.0, start_degC=12.0, outside_degC=10.0)
    forecast = ahead(record(Build(), warm)[0], 400.0)
    kinds = {p.kind for p in forecast.turning_points}
    assert not kinds & {"coldest-cell-thaws", "regeneration-returns"}


def test_a_cabin_is_foretold_while_it_is_conditioned():
    """Over five mornings of other noise the usual error of comfort is a seventh of what is left.

    None is off by a third; what comes lies between p10 and p90 of most. Unconditioned cabins are
    left out.
    """
    off, inside = [], []
    for seed in range(1, 6):
        cold = replace(PLAIN, cabin_s=(200.0, 2900.0), start_degC=-7.0, outside_degC=-9.0)
        recording, _ = record(Build(), replace(cold, seed=seed))
        at = came(recording, "cabin-comfortable")
        found = point(ahead(recording, 1000.0), "cabin-comfortable")
        off.append(abs(found.p50_s - at) / (at - 1000.0))
        inside.append(found.p10_s < at < found.p90_s)
    assert np.median(off) < 1.0 / 7.0
    assert max(off) < 1.0 / 3.0
    assert sum(inside) >= 3
    idle = ahead(record(Build(), replace(PLAIN, duration_s=800.0))[0], 700.0)
    assert not any(p.kind == "cabin-comfortable" for p in idle.turning_points)


@pytest.mark.parametrize(
    "missing",
    [
        ("Temperature.Min",),
        ("Temperature.Min", "Temperature.Average"),
        ("Limits",),
        ("Charging",),
        ("StandstillHeat",),
        ("Coolant", "Rear.Temp", "Front.Temp", "Average", "Exterior", "Current"),
    ],
)
def test_missing_signals_widen_and_do_not_fail(missing):
    """Whatever is not recorded, there is an answer with quantiles in order."""
    recording, _ = record(Build(), Morning(duration_s=1000.0, leave_out=missing))
    for now in (60.0, 900.0):
        for found in ahead(recording, now, levels=(8.0,)).turning_points:
            known = [q for q in (found.p10_s, found.p50_s, found.p90_s) if q is not None]
            assert known == sorted(known)
            assert 0.0 <= found.never <= 1.0


def test_an_instant_outside_the_recording_is_refused(plain):
    """One clear error, with the cure."""
    recording, _ = plain
    flows = make_flows(recording)
    story = tell(recording, flows)
    warmup = fit(recording, flows, story, until_s=600.0)
    with pytest.raises(RequestError, match="must be in"):
        look_ahead(recording, flows, story, warmup, None, 9999.0)
    with pytest.raises(RequestError, match="until_s=300"):
        look_ahead(recording, flows, story, warmup, None, 300.0)


def test_the_fan_starts_now_and_rises(plain):
    """Quantiles of the coldest cell are in order and end above freezing."""
    recording, _ = plain
    fan = ahead(recording, 900.0).fan
    assert fan.t[0] == 900.0
    assert np.all((fan.p10_degC <= fan.p50_degC) & (fan.p50_degC <= fan.p90_degC))
    assert fan.p50_degC[-1] > 0.0


def test_a_silent_log_keeps_its_last_word():
    """In a gap the supply is not taken for lost, nor a limit for gone."""
    recording, _ = record(Build(), Morning(duration_s=1400.0, gap_s=(900.0, 1390.0)))
    forecast = ahead(recording, 1100.0)
    assert not any("lost" in text for text in forecast.assumes)
    assert CHARGING + "OutputPower" in recording.channels
    assert abs(point(forecast, "coldest-cell-thaws").p50_s - 1975.0) < 120.0


def test_loads_that_nothing_records_are_taken_from_the_balance():
    """Without the cabin's power what the charger gives and nothing takes counts as the cabin's."""
    morning = replace(PLAIN, cabin_s=(200.0, 2900.0), duration_s=1100.0)
    known, unknown = (
        ahead(record(Build(), replace(morning, leave_out=missing))[0], 1000.0)
        for missing in ((), ("Heater.Main",))
    )
    for kind in ("charging-begins", "cabin-comfortable"):
        one, other = point(known, kind), point(unknown, kind)
        assert abs(one.p50_s - other.p50_s) < 0.25 * (one.p50_s - 1000.0) + 60.0


def test_charging_that_waits_though_there_is_room_waits_for_the_cells():
    """Without limit signals, with room and a wish: it is not told for now but for warmer cells."""
    build = Build(charging_from=2.5)
    recording, _ = record(build, replace(PLAIN, leave_out=("Limits",), offer_kW=11.0))
    now = came(recording, "coldest-cell-thaws") + 120.0
    found = point(ahead(recording, now), "charging-begins")
    assert found.p50_s > now + 30.0


def test_numbers_of_a_because_have_a_true_minus_sign(plain):
    """No hyphen before a digit in any sentence of a forecast."""
    recording, _ = plain
    forecast = ahead(recording, 600.0, levels=(10.0,))
    told = " ".join(p.because for p in forecast.turning_points)
    assert "\N{MINUS SIGN}" in told
    assert not re.search(r"(?<![\w])-\d", told)


@pytest.mark.parametrize(
    ("stated", "said"),
    [(-0.4, "\N{MINUS SIGN}0.4 ± 0.4 °C (as the vehicle file says)"), (None, "common practice")],
)
def test_limits_come_from_the_file_or_from_common_practice_and_wider(plain, stated, said):
    """The sentence tells which; common practice is told as less sure than a file."""
    recording, _ = plain
    vehicle = recording.vehicle
    own = replace(vehicle.limits, regeneration_from_degC=stated)
    forecast = ahead(replace(recording, vehicle=replace(vehicle, limits=own)), 900.0)
    assert said in point(forecast, "regeneration-returns").because
    assert setting("regeneration_usual_K") > setting("stated_K")
