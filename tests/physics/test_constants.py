"""The tables of constants."""

from __future__ import annotations

import pytest

from thawline.physics.constants import constants, read_table


@pytest.mark.parametrize("name", ["constants.csv", "glycol.csv", "chemistries.csv"])
def test_every_row_has_unit_and_source(name: str) -> None:
    """No row of a table lacks its source, nor the table's unit where it has that column."""
    for row in read_table("thawline.physics", name):
        assert None not in row, row
        assert row["source"], row
        assert row.get("unit", "in the heading"), row


def test_constants_are_numbers() -> None:
    """The table reads as floats by name, without two rows of one name."""
    rows = read_table("thawline.physics", "constants.csv")
    assert len(constants()) == len(rows)
    assert constants()["zero_degC"] == 273.15
