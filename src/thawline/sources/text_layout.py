"""Find out how a text table is laid out: separator, header, units, first row."""

from __future__ import annotations

import csv
import re
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from thawline.errors import SourceError
from thawline.sources.cells import EMPTY
from thawline.sources.headings import is_unit, split_heading
from thawline.sources.time_cells import time_units
from thawline.sources.time_column import time_rank

#: Separators; of two that split equally well the first is meant, so that decimal commas
#: and commas in notes do not split.
SEPARATORS = ("\t", ";", "|", ",")
_VALUE = re.compile(r"^[+-]?(\d[\d.,]*|[.,]\d+)([eE][+-]?\d+)?$|^\d+[-./:]\d+[-./:]\d.*$")


@dataclass(frozen=True, slots=True)
class TextLayout:
    """How a text table is laid out.

    Parameters
    ----------
    separator : str
        What stands between cells.
    headings : tuple of str
        Headings; those of nameless columns are empty.
    units : tuple of str
        Unit of each column as a row of its own states it; empty if there is no such row.
    first_row : int
        Lines before the first row of values [1].
    """

    separator: str
    headings: tuple[str, ...]
    units: tuple[str, ...]
    first_row: int


def split_line(line: str, separator: str) -> list[str]:
    """Split one line into cells, minding quotes.

    Parameters
    ----------
    line : str
        The line.
    separator : str
        What stands between cells.

    Returns
    -------
    list of str
        The cells without blanks around them.
    """
    try:
        cells = next(csv.reader([line], delimiter=separator), [])
    except csv.Error:
        cells = line.split(separator)
    return [cell.strip() for cell in cells]


def find_layout(lines: Sequence[str], path: Path, time_column: str | None = None) -> TextLayout:
    """Find the layout from the first lines of a file.

    Parameters
    ----------
    lines : sequence of str
        The first few hundred lines; blank ones are empty.
    path : Path
        The file, for messages.
    time_column : str, optional
        Heading of the time column, if it is known.

    Returns
    -------
    TextLayout
        The layout.

    Raises
    ------
    SourceError
        If the lines are no table, or the table has no header or no rows.
    """
    separator, width = _separator(lines, path)
    rows = {
        i: cells
        for i, line in enumerate(lines)
        if len(cells := split_line(line, separator)) == width
        or (len(cells) == width - 1 and line.strip())
    }
    header = _header(rows, path, time_column)
    headings = rows[header] + [""] * (width - len(rows[header]))
    below = [i for i in rows if i > header]
    units: list[str] = []
    if below and _is_units(rows[below[0]], headings):
        units = rows[below[0]]
        below = below[1:]
    if not below:
        raise SourceError(
            "the table has a header and no rows",
            file=path,
            place=f"line {header + 1}",
            cure="Export it again with its values",
        )
    return TextLayout(separator, _distinct(headings), tuple(units), below[0])


def _separator(lines: Sequence[str], path: Path) -> tuple[str, int]:
    """Find the separator that splits most lines alike, and into how many cells."""
    best = (0, "", 0)
    for separator in SEPARATORS:
        widths = Counter(len(split_line(line, separator)) for line in lines if line.strip())
        widths.pop(1, None)
        if widths:
            width, count = max(widths.items(), key=lambda item: (item[1], item[0]))
            if count > best[0]:
                best = (count, separator, width)
    if not best[0]:
        raise SourceError(
            "this is neither a log nor a table: no line has several cells",
            file=path,
            cure="Give a candump log, or a table with a time column and a header",
        )
    return best[1], best[2]


def _header(rows: dict[int, list[str]], path: Path, time_column: str | None) -> int:
    """Find the header: it names the time, or stands right above the first values."""
    texts = [i for i, cells in rows.items() if not any(_VALUE.match(cell) for cell in cells)]
    for among in (texts, list(rows)):
        for i in among:
            if any(_names_time(cell, time_column) for cell in rows[i]):
                return i
    values = [i for i in rows if i not in set(texts)]
    above = [i for i in texts if not values or i < values[0]]
    if above:
        return above[0]
    raise SourceError(
        "the table has no header: its first line holds values already",
        file=path,
        place=f"line {values[0] + 1}" if values else None,
        cure="Put a line with the names of the columns above them",
    )


def _names_time(cell: str, time_column: str | None) -> bool:
    if time_column is not None:
        return time_column in (cell, split_heading(cell)[0])
    return time_rank(cell)[0] is not None


def _is_units(cells: Sequence[str], headings: Sequence[str]) -> bool:
    """Tell whether the row under the header states units."""
    bare = [cell.strip("[]() ") for cell in cells]
    if any(_VALUE.match(cell) for cell in cells) or not any(bare):
        return False
    for cell, heading in zip(bare, headings, strict=False):
        if time_rank(heading)[0] is not None:
            return cell.lower() in time_units() or cell in ("", "-")
    return all(cell.lower() in EMPTY or is_unit(cell) for cell in bare)


def _distinct(headings: Sequence[str]) -> tuple[str, ...]:
    """Give headings that stand twice a number."""
    seen: Counter[str] = Counter()
    distinct = []
    for heading in headings:
        seen[heading] += 1
        again = seen[heading] > 1 and heading
        distinct.append(f"{heading} #{seen[heading]}" if again else heading)
    return tuple(distinct)
