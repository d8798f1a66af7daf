"""Find the time column of a table."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping, Sequence
from functools import cache
from importlib.resources import files
from pathlib import Path

import polars as pl

from thawline.errors import SourceError, nearest
from thawline.sources.headings import plain, split_heading
from thawline.sources.time_cells import Times, read_times, time_units

#: Names listed in an error [1].
LISTED = 12
#: How to say which column is time.
CURE = 'Name the time column in the vehicle file: [table] time = "..."'
_DATE = r"^\s*(\d{4}-\d\d-\d\d|\d{4}/\d\d/\d\d|\d{1,2}\.\d{1,2}\.\d{4})\s*$"


@cache
def time_names() -> tuple[str, ...]:
    """Read the names of time columns, the most telling first.

    Returns
    -------
    tuple of str
        Names in small letters.
    """
    text = files("thawline.sources").joinpath("time_names.csv").read_text("utf-8")
    return tuple(row["name"] for row in csv.DictReader(text.splitlines()))


_DATED = r"\s*(\d{4}[-/]\d\d[-/]\d\d|\d{1,2}[./]\d{1,2}[./]\d{4})"


def time_rank(heading: str) -> tuple[int | None, str | None]:
    """Tell whether a heading names a time column.

    Parameters
    ----------
    heading : str
        A heading, such as ``Time [ms]``, ``timestamp_ms`` or ``t``.

    Returns
    -------
    tuple of (int or None) and (str or None)
        Place in the list of names (None: not a time column) [1], and the unit of time.
    """
    name, unit = split_heading(heading)
    words = re.findall(r"[^\W_]+", re.sub(r"(?<=[a-z])(?=[A-Z])", " ", name).lower())
    stated = unit.strip("[]() ").lower() if unit else None
    if stated not in time_units():
        stated = None
        if len(words) > 1 and words[-1] in time_units():
            stated = words.pop()
    joined = " ".join(word for word in words if word != "in")
    names = time_names()
    return (names.index(joined) if joined in names else None), stated


def looks_like_time(heading: str, cells: pl.Series) -> bool:
    """Tell whether a column may be the time, by its heading or its first cell.

    Parameters
    ----------
    heading : str
        The heading.
    cells : Series
        The cells.

    Returns
    -------
    bool
        True if it may be.
    """
    if time_rank(heading)[0] is not None or cells.dtype.is_temporal():
        return True
    filled = cells.drop_nulls() if cells.dtype == pl.String else cells.clear()
    return len(filled) > 0 and re.match(_DATED, filled[0]) is not None


def asked_heading(headings: Sequence[str], path: Path, asked: str) -> str:
    """Find the column that was asked for, with or without its unit.

    Parameters
    ----------
    headings : sequence of str
        Headings of the table.
    path : Path
        The file, for messages.
    asked : str
        The heading that was asked for.

    Returns
    -------
    str
        The heading as the table has it.

    Raises
    ------
    SourceError
        If there is no such column.
    """
    for heading in headings:
        if asked in (heading, split_heading(heading)[0]):
            return heading
    for heading in headings:
        if plain(asked) in (plain(heading), plain(split_heading(heading)[0])):
            return heading
    near = nearest(asked, headings)
    raise SourceError(
        f"there is no column {asked!r} for the time; the columns are {_listed(headings)}",
        file=path,
        cure=f"Did you mean {near!r}?" if near else CURE,
    )


def find_times(
    columns: Mapping[str, pl.Series],
    units: Mapping[str, str | None],
    path: Path,
    asked: str | None,
    headings: Sequence[str],
) -> tuple[Sequence[str], Times]:
    """Find the time column and read it.

    Parameters
    ----------
    columns : mapping of str to Series
        Cells by heading, of those that may be times.
    units : mapping of str to str or None
        Unit that the table states beside the heading, by heading.
    path : Path
        The file, for messages.
    asked : str or None
        Heading of the time column, if it is known.
    headings : sequence of str
        Headings of the whole table, for messages.

    Returns
    -------
    tuple of sequence of str and Times
        Headings of the columns that make up the time, and the times.

    Raises
    ------
    SourceError
        If there is no such column, or it holds no times.
    """
    if asked is not None:
        ranked = [asked]
    else:
        ranks = {heading: time_rank(heading)[0] for heading in columns}
        named = {heading: rank for heading, rank in ranks.items() if rank is not None}
        ranked = sorted(named, key=lambda heading: named[heading])
    for heading in ranked:
        times = _read(columns, units, heading)
        if times is not None:
            return _with_date(columns, heading, times)
    if ranked:
        raise _unreadable(columns, ranked[0], path)
    dated = [(heading, times) for heading in columns if (times := _dated(columns[heading]))]
    if len(dated) == 1:
        heading, times = dated[0]
        note = f"the column {heading!r} is read as time: no other holds date-times"
        return [heading], Times(times.t, True, (*times.warnings, note))
    raise SourceError(
        f"no time column is recognised among {_listed(headings)}", file=path, cure=CURE
    )


def _read(
    columns: Mapping[str, pl.Series], units: Mapping[str, str | None], heading: str
) -> Times | None:
    stated = (units.get(heading) or "").strip("[]() ").lower()
    unit = time_rank(heading)[1] or (stated if stated in time_units() else None)
    return read_times(columns[heading], unit)


def _dated(cells: pl.Series) -> Times | None:
    """Read a column only if it holds date-times, which cannot be mistaken."""
    if cells.dtype.is_numeric():
        return None
    times = read_times(cells)
    return times if times is not None and times.is_epoch and not _is_number(cells) else None


def _is_number(cells: pl.Series) -> bool:
    return cells.dtype == pl.String and bool(cells.str.contains(r"^\s*[\d.,]+\s*$").any())


def _with_date(
    columns: Mapping[str, pl.Series], heading: str, times: Times
) -> tuple[Sequence[str], Times]:
    """Add the date if clock times stand beside a column of dates."""
    cells = columns[heading]
    if times.is_epoch or cells.dtype != pl.String or not _mostly(cells, r"^\s*\d+:\d\d:\d\d"):
        return [heading], times
    for other, dates in columns.items():
        if other != heading and dates.dtype == pl.String and _mostly(dates, _DATE):
            joined = pl.DataFrame({"date": dates.str.strip_chars(), "clock": cells}).select(
                pl.concat_str("date", "clock", separator="T").alias("both")
            )["both"]
            both = read_times(joined)
            if both is not None:
                return [other, heading], both
    return [heading], times


def _mostly(cells: pl.Series, pattern: str) -> bool:
    filled = cells.drop_nulls()
    return len(filled) > 0 and int(filled.str.contains(pattern).sum()) > len(filled) // 2


def _unreadable(columns: Mapping[str, pl.Series], heading: str, path: Path) -> SourceError:
    filled = columns[heading].drop_nulls()
    value = f"such as {filled[0]!r}" if len(filled) else "as it is empty"
    return SourceError(
        f"the time column {heading!r} cannot be read, {value}",
        file=path,
        cure="Write times as seconds or as ISO 8601 date-times (2026-01-31T07:00:00Z)",
    )


def _listed(headings: Sequence[str]) -> str:
    names = [repr(heading) for heading in headings]
    more = f" and {len(names) - LISTED} more" if len(names) > LISTED else ""
    return ", ".join(names[:LISTED]) + more
