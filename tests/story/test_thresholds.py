"""Thresholds are read from a table in which each has its reason."""

import csv
import re
from importlib.resources import files

import pytest

from thawline.story.thresholds import threshold

TEXT = files("thawline.story").joinpath("thresholds.csv").read_text("utf-8")
ROWS = list(csv.DictReader(TEXT.splitlines()))


def test_values_come_from_the_table():
    """A threshold is what its row says, in the row's unit."""
    assert threshold("supply_lost_after_s") == 3.0
    assert threshold("thaw_degC") == 0.0


def test_an_unknown_threshold_is_our_fault():
    """Asking for a row that is not there raises a KeyError."""
    with pytest.raises(KeyError):
        threshold("no such row")


def test_every_row_is_used_and_has_a_unit():
    """No threshold stands in the table for nothing."""
    code = "\n".join(
        path.read_text("utf-8")
        for path in files("thawline.story").iterdir()
        if path.name.endswith(".py")
    )
    built = {f"{k}_{w}_s" for k in ("charging", "heating", "limit", "drive")
             for w in ("blip", "bridge", "least")}  # fmt: skip
    for row in ROWS:
        assert row["unit"], row
        assert re.search(rf'"{row["name"]}"', code) or row["name"] in built, row["name"]


def test_heaters_in_pulses_are_bridged():
    """Duty cycles of 30 to 60 s are one span (common practice, no source)."""
    for kind in ("heating", "charging", "cabin"):
        assert threshold(f"{kind}_bridge_s") > 60.0
