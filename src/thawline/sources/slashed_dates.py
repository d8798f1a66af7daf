"""Dates with slashes, whose order of day and month only the column as a whole can tell."""

from __future__ import annotations

import polars as pl

_SLASHED = r"^(\d{1,2})/(\d{1,2})/(\d{4})[ T]+(\d{1,2})(:\d\d.*?)\s*((?i)[ap]m)?$"
#: Months end here, and half a day has so many hours [1].
LAST_MONTH, HALF_DAY_H = 12, 12


def iso_order(cells: pl.Series) -> pl.Series:
    """Write dates with slashes as ISO 8601 does.

    The day comes first if a first number is above 12, the month if a second one is, or if
    the hours are of half days (which are written with the month first); if nothing tells,
    the cells stay as they are.

    Parameters
    ----------
    cells : Series of str
        Date-times in any form.

    Returns
    -------
    Series of str
        The same; those with slashes as ``year-month-dayThour:...``.
    """
    parts = cells.str.extract_groups(_SLASHED).struct.unnest()
    parts.columns = ["one", "two", "year", "hour", "rest", "half"]
    if parts["one"].null_count() == len(cells):
        return cells
    one, two = parts["one"].cast(pl.Int32), parts["two"].cast(pl.Int32)
    day_first = bool((one > LAST_MONTH).any())
    month_first = bool((two > LAST_MONTH).any()) or parts["half"].null_count() < len(cells)
    if day_first == month_first:
        return cells
    hour = pl.col("hour").cast(pl.Int32)
    is_after_noon = (pl.col("half").str.to_lowercase() == "pm").cast(pl.Int32)
    hour = (
        pl.when(pl.col("half").is_null())
        .then(hour)
        .otherwise(hour % HALF_DAY_H + HALF_DAY_H * is_after_noon)
    )
    month, day = ("two", "one") if day_first else ("one", "two")
    written = parts.select(
        pl.format(
            "{}-{}-{}T{}{}",
            pl.col("year"),
            pl.col(month).str.pad_start(2, "0"),
            pl.col(day).str.pad_start(2, "0"),
            hour.cast(pl.String).str.pad_start(2, "0"),
            pl.col("rest"),
        ).alias("text")
    )["text"]
    return pl.DataFrame({"cell": cells, "text": written}).select(pl.coalesce("text", "cell"))[
        "text"
    ]
