"""Traces without a table of one's own."""

from importlib.util import find_spec

import numpy as np
import pytest

from tests.trip.cars import cycle
from thawline.errors import RequestError, SourceError
from thawline.trip.traces import SHIPPED, Leg, drive_legs, find_trace, legs_of, shipped_trace


@pytest.mark.parametrize("name", SHIPPED)
def test_shipped_traces_are_what_their_rules_say(name):
    """The table in the package is what following its legs gives."""
    shipped, made = shipped_trace(name), drive_legs(name, legs_of(name))
    assert np.allclose(shipped.speed_km_per_h, made.speed_km_per_h, atol=1e-3)
    assert np.allclose(shipped.slope_percent, made.slope_percent)
    assert shipped.speed_km_per_h[[0, -1]].tolist() == [0.0, 0.0]


def test_legs_are_followed_at_their_acceleration():
    """To 36 km/h at 1 m/s2 takes 10 s; half of it lies at 5 s."""
    trace = drive_legs("x", [Leg(36.0, 1.0, 5.0, 0.0), Leg(0.0, 2.0, 0.0, 0.0)])
    assert trace.speed_km_per_h[[5, 10, 15, 20]].tolist() == pytest.approx([18.0, 36.0, 36.0, 0.0])


def test_a_misspelt_name_gets_the_nearest():
    """Neither a name nor a file."""
    with pytest.raises(RequestError, match="skerrow-town"):
        find_trace("skerow-town")


def test_a_path_is_read(tmp_path):
    """And a folder is not."""
    path = tmp_path / "own.csv"
    path.write_text("time_s,speed_km_per_h\n0,0\n10,36\n20,0\n", encoding="utf-8")
    assert find_trace(str(path)).km == pytest.approx(0.1)
    with pytest.raises(SourceError):
        find_trace(str(tmp_path))


def test_published_cycles_come_from_a_package_or_say_which():
    """With the package installed the cycle is its own; without, the message names it."""
    if find_spec("fastsim") is None:
        with pytest.raises(RequestError, match="fastsim"):
            find_trace("udds")
    else:
        assert np.allclose(find_trace("udds").speed_km_per_h, cycle("udds").speed_km_per_h)
