"""Read text tables: CSV, TSV and their kin as spreadsheets and lab programs write them."""

from __future__ import annotations

import io
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from pathlib import Path

import polars as pl

from thawline.errors import SourceError
from thawline.sources.cells import Cells, join_cells, read_cells
from thawline.sources.encoding import as_utf8
from thawline.sources.lines import read_lines
from thawline.sources.table import Table
from thawline.sources.table_columns import make_table
from thawline.sources.text_layout import TextLayout, find_layout, split_line
from thawline.sources.time_column import asked_heading, find_times, looks_like_time

#: Lines that are looked at to find the layout [1].
HEAD_LINES = 400


@dataclass
class _Pieces:
    """What was read of each column so far; texts are kept of columns that may be the time."""

    cells: dict[str, list[Cells]] = field(default_factory=dict)
    texts: dict[str, list[pl.Series]] = field(default_factory=dict)
    misfits: int = 0

    def add(self, columns: Mapping[str, pl.Series], asked: str | None) -> None:
        """Add a batch of rows."""
        is_first = not self.cells
        for heading, column in columns.items():
            if heading in self.texts or (
                is_first and (heading == asked or looks_like_time(heading, column))
            ):
                self.texts.setdefault(heading, []).append(column)
            self.cells.setdefault(heading, []).append(read_cells(column))


def read_csv_table(
    path: Path,
    *,
    time_column: str | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> Table:
    """Read a text table.

    Separator, decimal sign, encoding, preamble and units are found from the content. Rows
    with another number of cells than the header are left out and counted.

    Parameters
    ----------
    path : Path
        The file; it may be a gzip or zstd archive.
    time_column : str, optional
        Heading of the time column, where it cannot be recognised.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Returns
    -------
    Table
        The columns.

    Raises
    ------
    SourceError
        If this is no table, or has no rows, no header or no time column.
    """
    layout: TextLayout | None = None
    asked: str | None = None
    pieces = _Pieces()
    for batch, broke_off in read_lines(path, as_utf8(path), progress=progress):
        lines = batch
        pieces.misfits += broke_off
        if layout is None:
            head = lines.head(HEAD_LINES).fill_null("").to_list()
            layout = find_layout(head, path, time_column)
            if time_column is not None:
                asked = asked_heading(list(filter(None, layout.headings)), path, time_column)
            lines = lines.slice(layout.first_row)
        columns, misfits = _split(lines, layout)
        pieces.misfits += misfits
        pieces.add(columns, asked)
    if layout is None:
        raise SourceError("the file holds no line", file=path, cure="Export it again")
    units = dict(zip(layout.headings, layout.units, strict=False))
    texts = {heading: pl.concat(parts) for heading, parts in pieces.texts.items()}
    headings, times = find_times(texts, units, path, asked, list(pieces.cells))
    cells = {heading: join_cells(parts) for heading, parts in pieces.cells.items()}
    left_out = {"wrong number of cells": pieces.misfits}
    return make_table(cells, units, times, headings, left_out, path)


def _split(lines: pl.Series, layout: TextLayout) -> tuple[dict[str, pl.Series], int]:
    """Split lines into columns; count those with another number of cells."""
    filled = lines.filter(lines.is_not_null() & (lines.str.strip_chars().str.len_bytes() > 0))
    quoted = bool(filled.str.contains('"', literal=True).any())
    bare = filled.str.replace_all(r'"[^"]*"', "") if quoted else filled
    separators = bare.str.count_matches(layout.separator, literal=True)
    fits = separators == len(layout.headings) - 1
    if quoted:  # a cell must not reach over a line's end
        fits &= filled.str.count_matches('"', literal=True) % 2 == 0
    good = filled.filter(fits)
    names = [str(i) for i in range(len(layout.headings))]
    if quoted:
        frame = _parse_quoted(good, layout.separator, names)
    else:
        split = good.str.split_exact(layout.separator, len(names) - 1)
        frame = split.struct.rename_fields(names).struct.unnest()
    columns = {
        heading: frame[name].str.strip_chars()
        for name, heading in zip(names, layout.headings, strict=True)
        if heading
    }
    return columns, len(filled) - len(frame)


def _parse_quoted(lines: pl.Series, separator: str, names: list[str]) -> pl.DataFrame:
    """Parse lines with quotes."""
    if not len(lines):
        return pl.DataFrame({name: pl.Series([], dtype=pl.String) for name in names})
    text = "\n".join(lines.to_list())
    try:
        return pl.read_csv(
            io.BytesIO(text.encode("utf-8")),
            separator=separator,
            has_header=False,
            schema=dict.fromkeys(names, pl.String),
            truncate_ragged_lines=True,
        )
    except pl.exceptions.PolarsError:  # quotes in odd places: slower, and takes them as they come
        cells = [split_line(line, separator) for line in lines.to_list()]
        fits = [row for row in cells if len(row) == len(names)]
        return pl.DataFrame(fits, schema=dict.fromkeys(names, pl.String), orient="row")
