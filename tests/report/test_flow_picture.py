"""Flow pictures: widths in proportion to energies."""

import re

import numpy as np
import pytest

from tests.report import morning
from thawline.ledger.ledger import Line
from thawline.report.accounts import rows_of
from thawline.report.flow_picture import TALL, flow_picture


def thickness(band):
    """How thick a band is at its left end: from its first corner to its last."""
    numbers = [float(n) for n in re.findall(r"-?\d+\.\d+", band.path)]
    return numbers[-1] - numbers[1]


def bands(picture):
    return {(band.title, band.anchor): band for band in picture.bands}


def test_widths_are_in_proportion():
    """Each kWh is as wide on both sides, and both sides fill the trunk."""
    rows = rows_of("electrical", morning.explained().ledger.electrical)
    picture = flow_picture(rows, 760.0, 190.0)
    found = bands(picture)
    scale = TALL / (4.4271 + 1.1032)
    for row in rows:
        anchor = "end" if row.side == "in" else "start"
        expected = max(row.kWh * scale, 1.0)
        assert thickness(found[row.title, anchor]) == pytest.approx(expected, abs=0.11)
    for side in ("end", "start"):
        whole = sum(thickness(band) for band in picture.bands if band.anchor == side)
        assert whole == pytest.approx(TALL, abs=1.0)


def test_what_cannot_be_told_is_drawn_open():
    """An account with an unknown line leaves an open band, not a false balance."""
    picture = flow_picture(rows_of("heat", morning.explained().ledger.heat), 760.0, 190.0)
    loose = [band for band in picture.bands if band.is_open]
    assert [band.title for band in loose] == ["cannot be told"]
    assert not any(band.is_hatched for band in picture.bands)
    left, top, width, tall = picture.within
    assert picture.trunk[0] < left < left + width < picture.trunk[0] + picture.trunk[2]
    assert tall == pytest.approx(TALL * 2.31 / (2.8333 + 0.0127))
    assert top + tall == pytest.approx(picture.trunk[1] + picture.trunk[3])


def test_negative_lines_change_sides():
    """A pack that gave up heat stands with those that give; so does a negative rest."""
    lines = [Line("drive-unit-heating", 1.0, 0.1, "measured"),
             Line("stored-in-pack", -0.5, 0.1, "derived"),
             Line("pack-to-ambient", 1.7, 0.1, "derived"),
             Line("unaccounted", -0.2, 0.2, "derived")]  # fmt: skip
    found = bands(flow_picture(rows_of("heat", lines), 760.0, 190.0))
    assert ("stored in the pack", "end") in found
    assert found["unaccounted", "end"].is_hatched


def test_labels_do_not_touch_and_stay_inside():
    """Two-line labels keep their distance, also with thin bands and on narrow screens."""
    for width, room in ((760.0, 190.0), (360.0, 122.0)):
        picture = flow_picture(
            rows_of("electrical", morning.explained().ledger.electrical), width, room
        )
        for side in ("end", "start"):
            tops = sorted(band.label_y for band in picture.bands if band.anchor == side)
            assert min(np.diff(tops)) >= 35.9
            assert tops[0] >= 16.0
            assert tops[-1] <= picture.height - 16.0


def test_what_is_too_small_is_not_drawn():
    """A line of a thousandth of a watt hour gets no band and no label."""
    lines = [Line("supply", 3e-7, 1e-8, "measured"), Line("pack-out", 5.0, 0.1, "measured"),
             Line("drive-unit-heating", 5.0, 0.1, "measured")]  # fmt: skip
    titles = {band.title for band in flow_picture(rows_of("electrical", lines), 760, 190).bands}
    assert titles == {"from the pack", "drive unit heating"}


def test_an_empty_account_has_no_picture():
    """Nothing known, nothing drawn."""
    assert flow_picture(rows_of("heat", morning.bare().ledger.heat), 760.0, 190.0) is None
