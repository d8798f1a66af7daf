"""The clock of a recording."""

from datetime import UTC, datetime

import pytest

from tests.report import morning
from thawline.report.moments import Moments, duration_text, moments_of


def test_minutes_count_from_the_first_plugging_in():
    """Minute zero is the plugging in, and the clock is the wall's."""
    moments = moments_of(morning.explained().recording, morning.story())
    assert moments.is_from_plug_in
    assert moments.minutes(77.0) == 0.0
    assert moments.clock(77.0) == "06:41:17"
    assert moments.date == "14 January 2031"


def test_iso_is_rfc_3339_in_utc():
    """A moment reads back as itself, and ends in Z (RFC 3339, section 5.6)."""
    moments = Moments(morning.STARTS_AT, 0.0, False)
    text = moments.iso(77.25)
    assert text == "2031-01-14T06:41:17.250Z"
    back = datetime.fromisoformat(text)
    assert back.tzinfo is not None
    assert back == datetime.fromtimestamp(morning.STARTS_AT + 77.25, UTC)


def test_without_a_date_nothing_is_made_up():
    """A logger that counts from its own zero gives no date and no clock."""
    moments = Moments(12.0, 0.0, False)
    assert moments.iso(5.0) is None
    assert moments.clock(3725.0) == "1:02:05"
    assert moments.date == "date unknown"
    assert moments.origin == "the first sample"


def test_the_next_day_is_named():
    """Past midnight the clock says which day."""
    moments = Moments(morning.STARTS_AT, 0.0, False)
    assert moments.clock(18 * 3600.0) == "00:40:00 (15 Jan)"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [
        (48, "48 s"),
        (60, "1 min"),
        (750, "12 min 30 s"),
        (3599.9, "1 h 00 min"),
        (3905, "1 h 05 min"),
    ],
)
def test_durations_in_words(seconds, words):
    """Seconds become the words that people use."""
    assert duration_text(seconds) == words
