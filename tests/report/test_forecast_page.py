"""The page of a forecast, and of a replay against what came."""

from __future__ import annotations

import re

import numpy as np
import pytest

from thawline.forecast.backtest import Backtest
from thawline.forecast.forecast import Fan, Forecast, PointAhead
from thawline.report.forecast_page import forecast_page

T = np.arange(600.0, 7200.0, 60.0)
FAN = Fan(T, T / 900.0 - 9.0, T / 800.0 - 9.0, T / 700.0 - 9.0)


def point(kind, p50, *, past=False, level=None, never=0.0):
    times = (p50, p50, p50) if past else (p50 - 60.0, p50, p50 + 120.0)
    return PointAhead(kind, *times, never, level, past, "The <coldest> cell.", np.array([p50]))


def forecast(made_at_s=600.0):
    points = (
        point("regeneration-returns", 1300.0, never=0.03),
        point("regeneration-at-kW", 1900.0, level=15.0),
        point("charger-at-full-power", 120.0, past=True),
    )
    return Forecast("gannet-1", made_at_s, 7200.0, "It fits.", points, FAN, ("The car stays.",))


def test_a_forecast_shows_waits_from_now_and_what_it_takes_for_granted():
    """Minutes from now, chances of never, assumptions; what is past is said to be past."""
    page = forecast_page(None, forecast())
    body = re.sub(r"<script.*?</script>", "", page, flags=re.S)
    assert "11.7" in body and "3%" in body and "The car stays." in body
    assert "15" in body and "kW of regeneration" in body and "came" in body


def test_nothing_in_the_page_reaches_out_or_breaks_out():
    """No address but anchors, and markup in a sentence stays text."""
    page = forecast_page(None, forecast())
    body = re.sub(r"<script.*?</script>", "", page, flags=re.S)
    assert "<coldest>" not in body and "&lt;coldest&gt;" in body
    assert not re.findall(r"(?:src|href)=[\"'](?!#)", body)


def test_a_replay_draws_what_was_said_against_what_came():
    """One chart for each turning point that was foretold at least twice before it came."""
    done = Backtest(
        ("gannet-1",),
        (forecast(600.0), forecast(700.0), forecast(800.0)),
        {("regeneration-returns", None): 1310.0, ("cabin-comfortable", None): 900.0},
        (),
        (),
    )
    body = re.sub(r"<script.*?</script>", "", forecast_page(done, None), flags=re.S)
    assert "When: regeneration returns" in body and "When: cabin comfortable" not in body
    assert "21.8" in body


def test_nothing_to_show_is_our_own_fault():
    """Neither a replay nor a forecast: a programming error, not an empty page."""
    with pytest.raises(ValueError, match="neither"):
        forecast_page(None, None)
