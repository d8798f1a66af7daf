"""The strip of lanes: placed in hundredths, told in words."""

from itertools import pairwise

import pytest

from tests.report import morning
from thawline.report.moments import Moments, moments_of
from thawline.report.strip import NEAR, strip_of, ticks_of


@pytest.fixture(scope="module")
def strip():
    explained = morning.explained()
    return strip_of(explained, moments_of(explained.recording, explained.story))


def test_spans_lie_where_they_were(strip):
    """A span from 110 s to 1990 s of an hour begins at 3.06 % and is 52.2 % long."""
    (bar,) = next(lane for lane in strip.lanes if lane.key == "pack-heating").bars
    assert bar.left == pytest.approx(100 * 110 / 3600)
    assert bar.width == pytest.approx(100 * 1880 / 3600)
    assert bar.words == "06:41:50 to 07:13:10, 31 min 20 s, mean 5.62 kW"


def test_lanes_keep_their_row(strip):
    """A lane stands in the same row in every morning, busy or not."""
    rows = {lane.key: lane.row for lane in strip.lanes}
    assert rows["supply"] == 0 and rows["regeneration"] == 5 and "driving" not in rows


def test_numbers_do_not_touch(strip):
    """Turning points that are near each other stand in different rows."""
    by_row = {}
    for mark in strip.marks:
        by_row.setdefault(mark.row, []).append(mark.left)
    gaps = [b - a for row in by_row.values() for a, b in pairwise(row)]
    assert gaps and min(gaps) >= 100 * NEAR - 1e-9
    assert [mark.number for mark in strip.marks] == list(range(1, 11))


@pytest.mark.parametrize("duration_s", [1.0, 59.0, 600.0, 3600.0, 86400.0, 864000.0])
def test_ticks_are_round_and_few(duration_s):
    """A handful of ticks within the recording, counted from plugging in."""
    ticks = ticks_of(duration_s, Moments(morning.STARTS_AT, 0.3 * duration_s, True))
    assert len(ticks) <= 11 and all(0.0 <= tick.left <= 100.0 for tick in ticks)
    assert any(tick.text in ("0 min", "0 h") for tick in ticks)


def test_it_speaks(strip):
    """Those who cannot see it hear every lane."""
    assert "Pack heating: 06:41:50 to 07:13:10" in strip.spoken
    bare = morning.bare()
    assert strip_of(bare, moments_of(bare.recording, bare.story)).spoken == "Nothing happened."
