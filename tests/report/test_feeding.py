"""Who fed whom."""

import numpy as np
import pytest

from tests.report import morning
from thawline.ledger.ledger import Feed
from thawline.report.feeding import feeding_chart, shares_of
from thawline.report.figure import stage_for
from thawline.report.moments import Moments


def area(xs, ys):
    """Area of a polygon by the shoelace formula [kW min]."""
    x, y = np.asarray(xs, float), np.asarray(ys, float)
    return abs(np.dot(x, np.roll(y, -1)) - np.dot(y, np.roll(x, -1))) / 2.0


def test_areas_are_energies():
    """Each coloured area, in kWh, is the energy of its share."""
    feed = morning.explained().ledger.feed
    stage = stage_for(Moments(0.0, 0.0, False), morning.DURATION_S, ())
    drawn = feeding_chart(feed, stage)
    patches = [r for r in drawn.renderers if type(r.glyph).__name__ == "Patches"]
    shares = shares_of(feed)
    assert len(patches) == len(shares) == 8
    for patch, (label, _, from_pack, kW) in zip(patches, shares, strict=True):
        data = patch.data_source.data
        drawn_kWh = sum(area(x, y) for x, y in zip(data["xs"], data["ys"], strict=True)) / 60.0
        assert drawn_kWh == pytest.approx(np.nansum(kW) / 3600.0, rel=0.02, abs=0.01), label
        assert (patch.glyph.hatch_pattern == "right_diagonal_line") == from_pack


def test_no_area_spans_a_gap():
    """Where nothing was recorded nothing is drawn."""
    stage = stage_for(Moments(0.0, 0.0, False), morning.DURATION_S, ())
    drawn = feeding_chart(morning.explained().ledger.feed, stage)
    middle = (morning.GAP.from_s + morning.GAP.to_s) / 120.0
    for patch in drawn.renderers:
        if type(patch.glyph).__name__ == "Patches":
            for xs in patch.data_source.data["xs"]:
                assert not xs.min() < middle < xs.max()


def test_nothing_fed_nothing_drawn():
    """A feed of zeros has no chart."""
    zeros = np.zeros(10)
    feed = Feed(np.arange(10.0), {"heat": zeros}, {"heat": zeros * np.nan}, ())
    assert feeding_chart(feed, stage_for(Moments(0.0, 0.0, False), 10.0, ())) is None
