"""When paths cross, and what a sample of times says."""

import numpy as np
import pytest

from thawline.forecast.crossings import first_crossing, lasting, point_ahead, point_past

T = np.array([100.0, 110.0, 120.0, 130.0])


def test_a_crossing_lies_between_steps():
    """Straight lines between steps; at once if it is above; never if it is never reached."""
    paths = np.array([[-2.0, 5.0, -9.0], [-1.0, 6.0, -8.0], [1.0, 7.0, -7.0], [0.5, 8.0, -6.0]])
    found = first_crossing(T, paths, np.zeros(3))
    assert found.tolist() == [115.0, 100.0, np.inf]


def test_only_what_lasts_counts():
    """A short excursion is passed over."""
    above = np.array([[False, True], [True, True], [False, True], [True, False]])
    assert lasting(above, T, 20.0).tolist() == [np.inf, 100.0]
    assert lasting(above, T, 10.0).tolist() == [110.0, 100.0]


def test_quantiles_count_what_never_comes():
    """With a fifth of the members at never, p10 and p50 stand and p90 does not."""
    times = np.concatenate([np.arange(80.0), np.full(20, np.inf)])
    point = point_ahead("charging-begins", times, "")
    assert point.never == pytest.approx(0.2)
    assert (point.p10_s, point.p50_s, point.p90_s) == (9.0, 49.0, None)
    assert np.all(np.diff(point.times_s[:80]) >= 0.0)


def test_what_is_past_has_one_time():
    """All three quantiles are when it came."""
    point = point_past("coldest-cell-thaws", 812.0, "it passed")
    assert point.p10_s == point.p50_s == point.p90_s == 812.0
    assert point.is_past
    assert point.never == 0.0
