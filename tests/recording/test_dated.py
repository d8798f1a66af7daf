"""A date, and a logger's own zero."""

from datetime import UTC, datetime

import pytest

from thawline.recording.dated import has_date


@pytest.mark.parametrize(
    ("year", "dated"), [(1970, False), (1980, False), (1989, False), (1990, True), (2026, True)]
)
def test_a_start_before_1990_is_no_date(year, dated):
    """No bus log is older."""
    assert has_date(datetime(year, 1, 1, tzinfo=UTC).timestamp()) is dated
