"""When a fit is due."""

import pytest

from tests.warmup.linear_car import Truth, record
from thawline.forecast.follow import follow, heating_since, is_due
from thawline.story.story import Story


@pytest.fixture(scope="module")
def data():
    return record(Truth(duration_s=1500.0), 1)


def test_heating_begins_with_its_first_span(data):
    """The first span of the lane, or nothing."""
    assert heating_since(data[2]) == 120.0
    assert heating_since(Story("x", (), ())) is None


def test_a_fit_is_kept_until_time_has_grown_or_it_is_asked_for(data):
    """Early often, later seldom; at once without one; soon where the readings left it behind."""
    first = follow(*data, None, None, 400.0)
    assert first.until_s == 400.0
    assert is_due(None, data[2], 400.0)
    assert not is_due(first, data[2], 420.0)
    assert follow(*data, first, None, 420.0) is first
    assert not is_due(first, data[2], 420.0, needs_fit=True)
    assert is_due(first, data[2], 435.0, needs_fit=True)
    assert is_due(first, data[2], 460.0)
    assert not is_due(follow(*data, first, None, 1000.0), data[2], 1060.0)


def test_before_heating_nothing_is_fitted_again():
    """Without heat there is nothing new to learn."""
    recording, flows, _ = record(Truth(), 2)
    still = Story("x", (), ())
    first = follow(recording, flows, still, None, None, 50.0)
    assert not is_due(first, still, 3000.0)
