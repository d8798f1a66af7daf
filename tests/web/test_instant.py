"""The cursor: what it reads, what it answers, and what a forecast would have said."""

import time

import numpy as np
import pytest

from tests.report import morning
from tests.web.conftest import FIRST
from thawline.forecast.forecast import Fan, Forecast, PointAhead
from thawline.report.choice import Choice
from thawline.web.ahead import GRID_S, on_grid
from thawline.web.expected import expected_of
from thawline.web.held import held_of
from thawline.web.instant import answers_at, values_at

NO = np.empty(0)


def test_it_answers_the_three_questions(client):
    """Charging, regeneration and pack heating, as the command answers."""
    told = client.get(f"/recordings/{FIRST}/at?t=300").json()
    assert set(told["limits"]) == {"charging", "regeneration", "pack heating"}
    assert told["clock"] == "06:45:00" and "<dl>" in told["html"]


@pytest.mark.parametrize("t", ["-1", "3601", "nan", "inf", "x", ""])
def test_a_moment_outside_is_told(client, t):
    """Also one that is no number."""
    for part in ("at", "forecast"):
        answer = client.get(f"/recordings/{FIRST}/{part}?t={t}")
        assert answer.status_code == 400 and answer.json()["problem"]


def test_values_are_the_last_samples_and_silence_is_a_dash():
    """Nothing is interpolated, and nothing is read in a gap."""
    held = held_of(morning.explained())
    there = values_at(held, 1000.6, Choice())
    assert there[morning.COLDEST] == "−4.0 °C" and there["flow:supply"] == "5.00 kW"
    assert values_at(held, 1000.6, Choice("degF"))[morning.COLDEST] == "24.8 °F"
    gap = values_at(held, (morning.GAP.from_s + morning.GAP.to_s) / 2, Choice())
    assert gap[morning.COLDEST] == "–" and gap["flow:supply"] == "–"


def test_lanes_under_way_are_named():
    """What the car was doing at that moment, by its lanes."""
    held = held_of(morning.explained())
    assert "Pack heating" in answers_at(held, 300.0).lanes
    assert answers_at(held, 20.0).lanes == ()


def test_a_forecast_is_laid_against_what_came():
    """Bands in hundredths of the recording; open ones end with it; the past is left out."""
    held = held_of(morning.explained())
    points = (
        PointAhead("regeneration-returns", 1200.0, 1300.0, 1400.0, 0.0, None, False, "", NO),
        PointAhead("charging-begins", 1500.0, 3000.0, None, 0.1, None, False, "", NO),
        PointAhead("cabin-comfortable", None, None, None, 1.0, None, False, "", NO),
        PointAhead("plugged-in", 77.0, 77.0, 77.0, 0.0, None, True, "", NO),
    )
    fan = Fan(*(np.array([600.0, 700.0]) for _ in range(4)))
    first, second, third = expected_of(Forecast("x", 600.0, 4000.0, "", points, fan, ()), held)
    assert (first.left, first.width) == pytest.approx((100 / 3, 100 / 18))
    assert first.came == pytest.approx(100 * 1381 / 3600) and not first.is_open
    assert "after 13.0 min" in first.words
    assert second.is_open and second.left + second.width == 100.0
    assert third.width == 0.0 and third.is_open


def test_forecasts_are_made_on_a_grid():
    """Moments of one quarter of a minute share a forecast, which never looks past them."""
    for t in (0.0, 7.0, 14.9, 15.0, 3599.0):
        assert on_grid(t, 3600.0) <= t < on_grid(t, 3600.0) + GRID_S
    assert on_grid(-3.0, 3600.0) == 0.0


def test_a_forecast_comes_when_it_is_done(client):
    """First it is under way; then it brings its words and its strip."""
    for _ in range(600):
        told = client.get(f"/recordings/{FIRST}/forecast?t=600").json()
        if told["state"] in ("done", "failed"):
            break
        time.sleep(0.1)
    assert told["state"] == "done", told["error"]
    assert "Waiting from now" in told["html"] and told["at_s"] == 600.0
