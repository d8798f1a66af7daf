"""Parquet tables of every simple type."""

from __future__ import annotations

from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
import polars as pl
import pytest

from thawline.errors import SourceError
from thawline.sources.parquet_table import read_parquet_table


def write(path: Path, columns: dict[str, object]) -> Path:
    pl.DataFrame(columns).write_parquet(path)
    return path


@pytest.fixture
def path(tmp_path: Path) -> Path:
    return tmp_path / "morning.parquet"


def test_columns_of_every_simple_type_are_read(path: Path) -> None:
    """Whole numbers, floats, booleans, text states and categories; nulls are empty."""
    write(
        path,
        {
            "time": [0.0, 0.5, 1.0],
            "Pack current [A]": [1, None, 3],
            "U": pl.Series([350.5, 351.0, None], dtype=pl.Float32),
            "plugged": [True, None, False],
            "mode": pl.Series(["Idle", "Heating", "Idle"], dtype=pl.Categorical),
            "list": [[1], [2], [3]],
        },
    )
    table = read_parquet_table(path)
    assert (table.rows, table.is_epoch) == (3, False)
    np.testing.assert_equal(table.columns["Pack current"].values, [1.0, np.nan, 3.0])
    np.testing.assert_equal(table.columns["U"].values, [350.5, 351.0, np.nan])
    np.testing.assert_equal(table.columns["plugged"].values, [1.0, np.nan, 0.0])
    mode = table.columns["mode"]
    assert [mode.labels[code] for code in mode.values] == ["Idle", "Heating", "Idle"]
    assert "list" not in table.columns and any("'list'" in w for w in table.warnings)


@pytest.mark.parametrize("unit", ["ms", "us", "ns"])
@pytest.mark.parametrize("zone", [None, "UTC", "Asia/Tokyo"])
def test_date_times_of_any_resolution_and_zone_count_from_1970(
    path: Path, unit: str, zone: str | None
) -> None:
    """A column of date-times is the time even if its name says nothing."""
    start = datetime(2024, 1, 1, tzinfo=UTC)
    times = pl.Series([start + timedelta(milliseconds=250 * i) for i in range(3)])
    times = times.dt.cast_time_unit(unit).dt.convert_time_zone(zone or "UTC")
    write(path, {"index": times if zone else times.dt.replace_time_zone(None), "x": [1, 2, 3]})
    table = read_parquet_table(path)
    expected = [1_704_067_200.0 + 0.25 * i for i in range(3)]
    assert table.columns["x"].t.tolist() == expected and table.is_epoch
    assert any("zone" in warning for warning in table.warnings) is (zone is None)


def test_durations_are_relative_times(path: Path) -> None:
    """A duration counts from the log's own zero."""
    write(path, {"elapsed": [timedelta(seconds=i / 4) for i in range(3)], "x": [1, 2, 3]})
    table = read_parquet_table(path)
    assert table.columns["x"].t.tolist() == [0.0, 0.25, 0.5] and not table.is_epoch


def test_progress_ends_at_the_size_of_the_file(path: Path) -> None:
    """One step, for the format is read in one go."""
    write(path, {"time": [0, 1], "x": [1, 2]})
    told: list[tuple[int, int]] = []
    read_parquet_table(path, progress=lambda done, total: told.append((done, total)))
    assert told == [(path.stat().st_size, path.stat().st_size)]


def test_a_file_that_was_cut_off_is_an_error(path: Path) -> None:
    """The format's directory stands at the end, so nothing can be read."""
    write(path, {"time": list(range(1000)), "x": list(range(1000))})
    path.write_bytes(path.read_bytes()[:-200])
    with pytest.raises(SourceError, match="broken or cut off") as caught:
        read_parquet_table(path)
    assert caught.value.file == path and caught.value.cure


def test_a_table_without_rows_is_an_error(path: Path) -> None:
    """The message says how many columns there are."""
    write(path, {"time": pl.Series([], dtype=pl.Float64), "x": pl.Series([], dtype=pl.Float64)})
    with pytest.raises(SourceError, match="2 columns and no rows"):
        read_parquet_table(path)


def test_a_table_without_time_is_an_error_unless_it_is_named(path: Path) -> None:
    """The cure of the error works."""
    write(path, {"k": [0.0, 1.0], "x": [1, 2]})
    with pytest.raises(SourceError, match="no time column"):
        read_parquet_table(path)
    assert read_parquet_table(path, time_column="k").columns["x"].t.tolist() == [0.0, 1.0]
