"""Read the cells of a column: numbers in any spelling, or words that name states."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
import polars as pl
from numpy.typing import NDArray

#: Cells that say nothing.
EMPTY = frozenset({"", "-", "--", "---", "nan", "na", "n/a", "#n/a", "#nv", "null", "nil", "?"})
#: A column with more different words than this holds text, not states [1].
MOST_STATES = 64


@dataclass(frozen=True, slots=True)
class Cells:
    """A column, or a piece of it, as numbers and words.

    Parameters
    ----------
    numbers : ndarray of float64, shape (n,)
        The numbers; NaN where a cell is empty or a word [unit].
    rows : ndarray of int, shape (k,)
        Places of the words [1].
    words : Series of str, length k
        The words.
    """

    numbers: NDArray[np.float64]
    rows: NDArray[np.int64]
    words: pl.Series


@cache
def state_words() -> dict[str, int]:
    """Read the words that mean on or off.

    Returns
    -------
    dict of str to int
        1 or 0 by word in small letters [1].
    """
    text = files("thawline.sources").joinpath("state_words.csv").read_text("utf-8")
    return {row["word"]: int(row["code"]) for row in csv.DictReader(text.splitlines())}


def read_cells(text: pl.Series) -> Cells:
    """Read the cells of a column.

    A comma is a decimal comma, unless a cell also has points (then the last of them is the
    decimal sign) or commas stand only before groups of three while other cells have points.

    Parameters
    ----------
    text : Series of str
        The cells.

    Returns
    -------
    Cells
        Numbers and words; infinities count as empty.
    """
    numbers = text.cast(pl.Float64, strict=False)
    odd = numbers.is_null() & text.is_not_null()
    values = numbers.fill_null(np.nan).to_numpy().copy()
    values[~np.isfinite(values)] = np.nan
    rows = odd.arg_true().to_numpy().astype(np.int64)
    if len(rows) == 0:
        return Cells(values, rows, text.clear())
    words = text.filter(odd).str.strip_chars()
    has_points = bool(text.str.contains(".", literal=True).any())
    again = _undecorated(words, has_points).cast(pl.Float64, strict=False)
    found = again.fill_null(np.nan).to_numpy()
    values[rows] = np.where(np.isfinite(found), found, np.nan)
    left = again.is_null() & ~words.str.to_lowercase().is_in(list(EMPTY))
    return Cells(values, rows[left.to_numpy()], words.filter(left))


def _undecorated(words: pl.Series, has_points: bool) -> pl.Series:
    """Write numbers with decimal commas or thousands marks plainly."""
    comma_last = words.str.contains(r"^[^,]*,[^,.]*$")
    grouped = words.str.contains(r"^[+-]?\d{1,3}(,\d{3})+$") & has_points
    frame = pl.DataFrame({"word": words, "comma": comma_last & ~grouped})
    return frame.select(
        pl.when(pl.col("comma"))
        .then(pl.col("word").str.replace_all(".", "", literal=True).str.replace(",", "."))
        .otherwise(pl.col("word").str.replace_all(",", "", literal=True))
        .alias("word")
    )["word"]


def join_cells(parts: list[Cells]) -> Cells:
    """Put the pieces of a column behind one another.

    Parameters
    ----------
    parts : list of Cells
        The pieces, at least one.

    Returns
    -------
    Cells
        The column.
    """
    starts = np.cumsum([0, *(len(part.numbers) for part in parts[:-1])])
    return Cells(
        np.concatenate([part.numbers for part in parts]),
        np.concatenate([part.rows + start for part, start in zip(parts, starts, strict=True)]),
        pl.concat([part.words for part in parts]),
    )


def read_states(cells: Cells) -> tuple[NDArray[np.float64], dict[float, str]] | None:
    """Give the words of a column of states numbers.

    Words for off count as 0, words for on as 1; if there are others, all but the words for
    off are numbered from 1 in the order of the alphabet.

    Parameters
    ----------
    cells : Cells
        A column without numbers.

    Returns
    -------
    tuple of ndarray of float64 and dict of float to str, or None
        Codes [1] (NaN where empty) and their names; None if these are not states but text.
    """
    distinct = sorted(cells.words.unique().to_list(), key=lambda word: (word.lower(), word))
    if len(distinct) > MOST_STATES:
        return None
    known = state_words()
    codes: dict[str, int] = {}
    if all(word.lower() in known for word in distinct):
        codes = {word: known[word.lower()] for word in distinct}
    else:
        numbers: dict[str, int] = {}
        for word in distinct:
            low = word.lower()
            is_off = known.get(low) == 0
            codes[word] = 0 if is_off else numbers.setdefault(low, len(numbers) + 1)
    values = np.full(len(cells.numbers), np.nan)
    values[cells.rows] = cells.words.replace_strict(
        list(codes), list(codes.values()), return_dtype=pl.Float64
    ).to_numpy()
    labels: dict[float, str] = {}
    for word, code in codes.items():
        labels.setdefault(float(code), word)
    return values, labels
