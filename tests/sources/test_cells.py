"""Cells as numbers and words."""

from __future__ import annotations

import numpy as np
import polars as pl
import pytest

from thawline.sources.cells import join_cells, read_cells, read_states


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (["1", "-2.5", "1e3", "+4"], [1, -2.5, 1000, 4]),
        (["1,5", "-0,25"], [1.5, -0.25]),
        (["1.234,5", "0,5"], [1234.5, 0.5]),
        (["1,234.5", "1,000,000"], [1234.5, 1e6]),
        (["1,234", "0.5"], [1234, 0.5]),
        ([" 3 ", "4\t"], [3, 4]),
        (["", "-", "NaN", "n/a", "inf", None], [np.nan] * 6),
    ],
)
def test_numbers_are_read_in_any_spelling(text: list[str | None], expected: list[float]) -> None:
    """Decimal commas, thousands marks, blanks, and cells that say nothing."""
    cells = read_cells(pl.Series(text, dtype=pl.String))
    np.testing.assert_equal(cells.numbers, np.array(expected, dtype=float))
    assert len(cells.words) == 0


def test_words_keep_their_places_when_pieces_are_joined() -> None:
    """A long column is read piece by piece."""
    parts = [["1", "on"], ["off"], ["2", "", "on"]]
    joined = join_cells([read_cells(pl.Series(part, dtype=pl.String)) for part in parts])
    assert joined.rows.tolist() == [1, 2, 5] and joined.words.to_list() == ["on", "off", "on"]
    np.testing.assert_equal(joined.numbers, [1, np.nan, np.nan, 2, np.nan, np.nan])


@pytest.mark.parametrize(
    ("words", "codes"),
    [
        (["On", "off", "ON"], [1, 0, 1]),
        (["wahr", "falsch"], [1, 0]),
        (["b", "a", "B"], [2, 1, 2]),
        (["Heating", "inactive", "Idle"], [1, 0, 2]),
    ],
)
def test_states_get_codes_that_do_not_depend_on_their_order(
    words: list[str], codes: list[float]
) -> None:
    """Off is 0, on is 1, others follow the alphabet."""
    states = read_states(read_cells(pl.Series(words)))
    assert states is not None and states[0].tolist() == codes


def test_many_different_words_are_text_and_not_states() -> None:
    """A column of notes has no codes."""
    assert read_states(read_cells(pl.Series([f"note {i}" for i in range(65)]))) is None
