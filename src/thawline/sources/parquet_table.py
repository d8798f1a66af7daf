"""Read decoded columns from Parquet."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import polars as pl

from thawline.errors import SourceError
from thawline.sources.cells import Cells, read_cells
from thawline.sources.table import Table
from thawline.sources.table_columns import make_table
from thawline.sources.time_column import asked_heading, find_times, looks_like_time


def read_parquet_table(
    path: Path,
    *,
    time_column: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Table:
    """Read a Parquet file.

    Parameters
    ----------
    path : Path
        The file.
    time_column : str, optional
        Name of the time column, where it cannot be recognised.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Returns
    -------
    Table
        The columns that hold numbers, states or labels; others are named in the warnings.

    Raises
    ------
    SourceError
        If the file is broken or cut off, or has no rows or no time column.
    """
    total = path.stat().st_size
    try:
        frame = pl.read_parquet(path, glob=False)
    except (OSError, pl.exceptions.PolarsError, pl.exceptions.PanicException) as error:
        raise SourceError(
            f"this Parquet file is broken or cut off ({_first_line(error)})",
            file=path,
            cure="Copy or export it again",
        ) from error
    if frame.height == 0:
        raise SourceError(
            f"the table has {frame.width} columns and no rows",
            file=path,
            cure="Export it again with its values",
        )
    asked = None if time_column is None else asked_heading(frame.columns, path, time_column)
    may_be_time = {
        name: frame[name]
        for name in frame.columns
        if name == asked or looks_like_time(name, frame[name])
    }
    headings, times = find_times(may_be_time, {}, path, asked, frame.columns)
    cells, unread = {}, []
    for name in frame.columns:
        column = None if name in headings else _cells(frame[name])
        if column is not None:
            cells[name] = column
        elif name not in may_be_time:
            unread.append(f"the column {name!r} is of type {frame[name].dtype} and is not read")
    table = make_table(cells, {}, times, headings, {}, path)
    if progress is not None:
        progress(total, total)
    return Table(
        table.columns,
        table.is_epoch,
        table.rows,
        table.left_out,
        (*table.warnings, *unread),
    )


def _cells(column: pl.Series) -> Cells | None:
    """Read a column of any simple type; None if it is of another."""
    kind = column.dtype
    if kind == pl.Boolean or isinstance(kind, pl.Categorical | pl.Enum):
        text = column.cast(pl.String)
        there = text.is_not_null()
        rows = there.arg_true().to_numpy().astype(np.int64)
        return Cells(np.full(len(column), np.nan), rows, text.filter(there))
    if kind.is_numeric():
        numbers = column.cast(pl.Float64).fill_null(np.nan).to_numpy()
        none = np.zeros(0, dtype=np.int64)
        return Cells(numbers, none, pl.Series([], dtype=pl.String))
    return read_cells(column) if kind == pl.String else None


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0][:200]
