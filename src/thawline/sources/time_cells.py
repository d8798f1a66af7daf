"""Read the cells of a time column into seconds."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
import polars as pl
from numpy.typing import NDArray

from thawline.sources.cells import read_cells
from thawline.sources.clock import EPOCH_FROM_S, is_epoch
from thawline.sources.slashed_dates import iso_order

#: A column is a time column if this share of its cells can be read as times [1].
ENOUGH = 0.5
#: Clock times that fall by more than this have passed midnight [s].
HALF_DAY_S, DAY_S = 43_200.0, 86_400.0
NS_PER_S = 1_000_000_000
#: Spreadsheets count days from 1899-12-30: that of 1970, of the years 2000 and 2100 [d]; and
#: samples are closer than this [d].
EPOCH_DAYS, DAYS_FROM, DAYS_TO, STEP_DAYS = 25_569.0, 36_526.0, 73_051.0, 0.01
_DATE_TIMES = ("%Y-%m-%dT%H:%M:%S%.f", "%Y-%m-%dT%H:%M", "%d.%m.%YT%H:%M:%S%.f", "%d.%m.%YT%H:%M")
_ZONED = ("%Y-%m-%dT%H:%M:%S%.f%:z", "%Y-%m-%dT%H:%M%:z")
_CLOCK = r"^(-?\d+):(\d{1,2}):(\d{1,2}(?:\.\d*)?)$"


@dataclass(frozen=True, slots=True)
class Times:
    """A time column.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Seconds; NaN where a cell cannot be read [s].
    is_epoch : bool
        Whether they count from 1970-01-01 UTC.
    warnings : tuple of str
        What had to be assumed.
    """

    t: NDArray[np.float64]
    is_epoch: bool
    warnings: tuple[str, ...] = ()


@cache
def time_units() -> dict[str, float]:
    """Read the units of time.

    Returns
    -------
    dict of str to float
        Length by unit in small letters [s].
    """
    text = files("thawline.sources").joinpath("time_units.csv").read_text("utf-8")
    return {row["unit"]: float(row["seconds"]) for row in csv.DictReader(text.splitlines())}


def read_times(cells: pl.Series, unit: str | None = None) -> Times | None:
    """Read a column of times: numbers, date-times or clock times.

    Parameters
    ----------
    cells : Series
        Texts, numbers, date-times or durations.
    unit : str, optional
        Unit of numbers; None: seconds since any zero, or since 1970 in the unit that their
        size tells.

    Returns
    -------
    Times or None
        Seconds, or None if too few cells are times.
    """
    if cells.dtype.is_temporal():
        return _temporal(cells)
    if cells.dtype.is_numeric() or cells.dtype == pl.Boolean:
        numbers = cells.cast(pl.Float64).fill_null(np.nan).to_numpy()
        return None if cells.dtype == pl.Boolean else _from_numbers(numbers, unit)
    if cells.dtype != pl.String:
        return None
    wanted = max(1.0, ENOUGH * (len(cells) - cells.null_count()))
    numbers = read_cells(cells).numbers
    if np.count_nonzero(np.isfinite(numbers)) >= wanted:
        return _from_numbers(numbers, unit)
    for read in (_date_times, _clock_times):
        times = read(cells)
        if np.count_nonzero(np.isfinite(times.t)) >= wanted:
            return times
    return None


def _from_numbers(numbers: NDArray[np.float64], unit: str | None) -> Times:
    finite = numbers[np.isfinite(numbers)]
    size = float(np.median(finite)) if len(finite) else 0.0
    warnings: tuple[str, ...] = ()
    if unit is None and _are_days(finite):
        t = (numbers - EPOCH_DAYS) * DAY_S
        return Times(t, True, ("the times are read as a spreadsheet's days, in UTC",))
    if unit is None:
        length = 1.0
        # milliseconds since 1970 are a thousand times too big to be seconds, and so on
        while size * length >= EPOCH_FROM_S * 1e3:
            length /= 1e3
        if not is_epoch(size):
            warnings = ("the time column states no unit; it is read as seconds",)
    else:
        length = time_units()[unit.lower()]
    # dividing by a whole number rounds once, multiplying by 0.001 twice
    t = numbers / round(1.0 / length) if length < 1.0 else numbers * length
    return Times(t, is_epoch(size * length), warnings)


def _are_days(finite: NDArray[np.float64]) -> bool:
    """Tell a spreadsheet's day numbers of this century: big, and fine steps at that."""
    if len(finite) < 2 or finite.min() < DAYS_FROM or finite.max() >= DAYS_TO:
        return False
    return float(np.median(np.abs(np.diff(finite)))) < STEP_DAYS


def _temporal(cells: pl.Series) -> Times | None:
    if isinstance(cells.dtype, pl.Duration):
        return Times(_seconds(cells.dt.total_nanoseconds()), is_epoch=False)
    if isinstance(cells.dtype, pl.Time):
        return Times(_unwrapped(_seconds(cells.cast(pl.Int64))), is_epoch=False)
    if isinstance(cells.dtype, pl.Date):
        return None
    zone = getattr(cells.dtype, "time_zone", None)
    warnings = () if zone else ("the times state no zone; they are read as UTC",)
    return Times(_seconds(cells.dt.epoch("ns")), is_epoch=True, warnings=warnings)


def _seconds(nanoseconds: pl.Series) -> NDArray[np.float64]:
    whole, rest = nanoseconds // NS_PER_S, nanoseconds % NS_PER_S  # one float holds not both
    seconds = whole.cast(pl.Float64) + rest.cast(pl.Float64) / NS_PER_S
    return seconds.fill_null(np.nan).to_numpy()


def _date_times(cells: pl.Series) -> Times:
    """Read ISO 8601 date-times, and dates written day.month.year."""
    text = (
        iso_order(cells.str.strip_chars())
        .str.replace(",", ".", literal=True)
        .str.replace(r"\s+([+-]\d\d:?\d\d)$", "$1")
        .str.replace(r"^(\d{4})/(\d\d)/(\d\d)", "$1-$2-$3")
        .str.replace(r"^([\d.-]+)[ _]+(\d)", "${1}T$2")
        .str.replace(r"\s*(?:Z|z|UTC)$", "+00:00")
        .str.replace(r"([+-]\d\d):?(\d\d)$", "$1:$2")
        .str.replace(r"(:\d\d(?:\.\d+)?[+-]\d\d)$", "$1:00")
    )
    read = [
        text.str.to_datetime(form, strict=False, time_unit="ns", time_zone="UTC") for form in _ZONED
    ]
    zoned = sum(len(one) - one.null_count() for one in read)
    read += [
        text.str.to_datetime(form, strict=False, time_unit="ns").dt.replace_time_zone("UTC")
        for form in _DATE_TIMES
    ]
    frame = pl.DataFrame({str(i): one for i, one in enumerate(read)})
    t = _seconds(frame.select(pl.coalesce(pl.all()).dt.epoch("ns").alias("t"))["t"])
    unzoned = int(np.count_nonzero(np.isfinite(t))) > zoned
    return Times(t, True, ("the times state no zone; they are read as UTC",) if unzoned else ())


def _clock_times(cells: pl.Series) -> Times:
    """Read times such as 07:15:00.25, since midnight; passing midnight goes on."""
    text = cells.str.strip_chars().str.replace(",", ".", literal=True)
    parts = pl.DataFrame({"text": text}).select(
        pl.col("text").str.extract(_CLOCK, 1).cast(pl.Float64, strict=False).alias("h"),
        pl.col("text").str.extract(_CLOCK, 2).cast(pl.Float64, strict=False).alias("min"),
        pl.col("text").str.extract(_CLOCK, 3).cast(pl.Float64, strict=False).alias("s"),
    )
    units = time_units()
    seconds = parts.select(
        pl.col("h") * units["h"] + pl.col("min") * units["min"] + pl.col("s")
    ).to_series()
    return Times(_unwrapped(seconds.fill_null(np.nan).to_numpy()), is_epoch=False)


def _unwrapped(t: NDArray[np.float64]) -> NDArray[np.float64]:
    """Add a day each time the clock passes midnight."""
    t = t.copy()
    there = np.flatnonzero(np.isfinite(t))
    falls = np.diff(t[there]) < -HALF_DAY_S
    t[there[1:]] += DAY_S * np.cumsum(falls)
    return t
