"""Speed traces from tables."""

import numpy as np
import polars as pl
import pytest

from tests.trip.cars import cycle
from thawline.errors import SourceError
from thawline.trip.trace import read_trace


def written(folder, text, name="way.csv"):
    path = folder / name
    path.write_text(text, encoding="utf-8")
    return path


@pytest.mark.parametrize(
    ("heading", "factor"),
    [
        ("speed [km/h]", 36.0),
        ("speed_km_per_h", 36.0),
        ("Speed (m/s)", 10.0),
        ("speed_mps", 10.0),
        ("speed [mph]", 36.0 / 1.609344),
        ("velocity_mph", 36.0 / 1.609344),
    ],
)
def test_units_are_taken_from_the_heading(tmp_path, heading, factor):
    """The same 36 km/h in every unit that people write (mile: 1.609344 km by definition)."""
    rows = "\n".join(f"{t},{factor if 0 < t < 9 else 0:.8f}" for t in range(10))
    trace = read_trace(written(tmp_path, f"time_s,{heading}\n{rows}\n".replace("9,0", "9,0")))
    assert trace.speed_km_per_h.max() == pytest.approx(36.0, rel=1e-6)


def test_parquet_and_slopes_are_read(tmp_path):
    """A Parquet table with a slope; time counts from its first row."""
    frame = pl.DataFrame({
        "time_s": np.arange(100.0, 160.0),
        "speed_km_per_h": np.clip(np.arange(60.0), 0, 40),
        "slope_percent": np.full(60, 2.5),
    })  # fmt: skip
    frame.write_parquet(tmp_path / "way.parquet")
    trace = read_trace(tmp_path / "way.parquet")
    assert trace.t[0] == 0.0
    assert trace.duration_s == pytest.approx(59.0)
    assert np.all(trace.slope_percent == 2.5)


def test_published_cycles_have_their_published_lengths():
    """UDDS 7.45 mi in 1369 s, HWFET 10.26 mi in 765 s (EPA, dynamometer drive schedules)."""
    for name, miles, seconds in (("udds", 7.45, 1369.0), ("hwfet", 10.26, 765.0)):
        assert cycle(name).km == pytest.approx(miles * 1.609344, rel=2e-3)
        assert cycle(name).duration_s == pytest.approx(seconds, abs=1.0)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("time_s,speed_km_per_h\n0,0\n1,5\n2,-3\n3,0\n", r"at 2 s: speed \(=-3\) must be in \[0"),
        ("time_s,speed_km_per_h\n0,0\n1,5\n2,400\n", r"speed \(=400\)"),
        ("time_s,speed_km_per_h\n0,0\n1,90\n2,90\n", r"acceleration \(=25\)"),
        ("time_s,speed_km_per_h\n0,0\n1,0\n2,0\n", "never moves"),
        ("time_s,speed\n0,0\n1,5\n2,9\n", "has no unit.*speed \\[km/h\\]"),
        ("time_s,height_m\n0,0\n1,5\n2,9\n", "no column is a speed"),
        ("time_s,speed [V]\n0,0\n1,5\n2,9\n", "speed"),
        ("time_s,speed_mps,speed_mph\n0,0,0\n1,1,1\n2,2,2\n", "several columns"),
        (
            "time_s,speed_mps,slope_percent\n0,0,0\n1,1,80\n2,2,0\n",
            r"slope \(=80\) must be in \[-45, 45\] percent",
        ),
    ],
)
def test_bad_tables_are_refused_with_file_place_and_value(tmp_path, text, said):
    """The message names the file and what is wrong."""
    path = written(tmp_path, text)
    with pytest.raises(SourceError, match=said) as error:
        read_trace(path)
    assert "way.csv" in str(error.value)


def test_a_missing_file_is_refused(tmp_path):
    """It is named."""
    with pytest.raises(SourceError, match="nothing-here"):
        read_trace(tmp_path / "nothing-here.csv")
