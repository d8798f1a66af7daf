"""Whether heat still reaches the pack."""

import numpy as np
import pytest
from scipy import stats

from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.collapse import log_within, truncated
from thawline.forecast.cut import cut_at
from thawline.forecast.follow import follow
from thawline.forecast.look_ahead import look_ahead
from thawline.recording.flows import make_flows
from thawline.story.tell import tell

#: Only a coldest cell is known, beside powers.
ALONE = ("Coolant", "Rear.Temp", "Front.Temp", "Average", "Exterior")
WHOLE, HALF = {"Temperature.Min": 1.0}, {"Temperature.Min": 0.5}


@pytest.mark.parametrize(("low", "high"), [(-1.0, 0.5), (2.0, 3.0), (-7.0, -6.0), (-0.1, 9.0)])
def test_moments_between_two_ends_are_those_of_a_reference_library(low, high):
    """Chance, mean and variance of SciPy's truncated normal."""
    log_chance, mean, variance = truncated(np.array(low), np.array(high))
    assert log_chance == pytest.approx(np.log(stats.norm.cdf(high) - stats.norm.cdf(low)), rel=1e-6)
    wanted = stats.truncnorm(low, high)
    assert mean == pytest.approx(wanted.mean(), abs=1e-6)
    assert variance == pytest.approx(wanted.var(), abs=1e-5)


def test_far_tails_stay_finite():
    """Forty standard deviations away the logarithm is that of the nearer end's tail."""
    low, high = np.array([40.0, -41.0]), np.array([41.0, -40.0])
    assert np.allclose(log_within(low, high), stats.norm.logsf(40.0), rtol=1e-6)
    assert all(np.all(np.isfinite(each)) for each in truncated(low, high))


def live(recording, instants):
    """Forecast again and again, as a page does."""
    warmup = forecast = None
    found = {}
    for now in instants:
        part = cut_at(recording, now)
        flows = make_flows(part)
        story = tell(part, flows)
        keeps = forecast is not None and forecast.keeps_fit
        warmup = follow(part, flows, story, warmup, None, now, keeps_fit=keeps)
        forecast = look_ahead(part, flows, story, warmup, None, now, before=forecast)
        found[now] = forecast, warmup
    return found


def said(forecast):
    return " ".join(text for text in forecast.assumes if "reaches the pack" in text)


@pytest.mark.parametrize(
    ("fails_s", "left", "steps", "within_s"),
    [
        # a whole degree was due 144, 114, 181 and 151 s after
        (900.0, ALONE, WHOLE, 260.0),
        (930.0, ALONE, WHOLE, 240.0),
        (990.0, ALONE, WHOLE, 290.0),
        (1020.0, ALONE, WHOLE, 260.0),
        # half a degree within 75 s
        (900.0, ALONE, HALF, 180.0),
        (960.0, ALONE, HALF, 190.0),
        (1020.0, ALONE, HALF, 190.0),
        # windings get hot
        (900.0, ("Coolant", "Average"), WHOLE, 120.0),
        (960.0, ("Coolant", "Average"), WHOLE, 120.0),
    ],
)
def test_a_pump_that_fails_is_said_and_when(fails_s, left, steps, within_s):
    """Whatever is recorded: said once it can be known, with the time, and no fit follows it."""
    morning = Morning(duration_s=1500.0, pump_fails_s=fails_s, leave_out=left, steps=steps)
    recording, _ = record(Build(), morning)
    at = fails_s + within_s
    begin = fails_s - 5.0
    found = live(recording, [*np.arange(begin, at, 25.0).tolist(), at, at + 60.0])
    assert not said(found[begin][0])
    told = said(found[at][0])
    assert "eat no longer reaches the pack, since about" in told
    since = float(told.split("about ")[1].split(" s")[0])
    assert abs(since - fails_s) < 150.0
    assert found[at + 60.0][1] is found[at][1]
    thaw = next(p for p in found[at][0].turning_points if p.kind == "coldest-cell-thaws")
    before = next(p for p in found[begin][0].turning_points if p.kind == "coldest-cell-thaws")
    assert thaw.p50_s is None or thaw.p50_s > before.p50_s + 150.0


@pytest.mark.parametrize("seed", [0, 4])
def test_a_sound_morning_is_not_doubted(seed):
    """A pump that runs is never said to stand, while only whole degrees are known."""
    morning = Morning(duration_s=2000.0, leave_out=ALONE, steps=WHOLE, seed=seed)
    recording, _ = record(Build(), morning)
    found = live(recording, np.arange(300.0, 1900.0, 200.0).tolist())
    assert not any(said(forecast) for forecast, _ in found.values())
