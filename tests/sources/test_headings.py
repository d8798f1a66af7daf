"""Headings and the search by name."""

from __future__ import annotations

import numpy as np
import pytest

from thawline.sources.headings import Columns, split_heading
from thawline.sources.table import Column


@pytest.mark.parametrize(
    ("heading", "name", "unit"),
    [
        ("Pack current [A]", "Pack current", "A"),
        ("Pack_U (V)", "Pack_U", "V"),
        ("Speed(km/h)", "Speed", "km/h"),
        ("Inlet / °C", "Inlet", "°C"),
        ("Spannung in V", "Spannung", "V"),
        ("State [ ]", "State", None),
        ("SoC [%]", "SoC", "%"),
        ("Cell[3]", "Cell[3]", None),
        ("Voltage (filtered)", "Voltage (filtered)", None),
        ("Cell temperature (min)", "Cell temperature (min)", None),
        ("Plugged in", "Plugged in", None),
        ("km/h", "km/h", None),
    ],
)
def test_a_heading_is_split_into_name_and_unit(heading: str, name: str, unit: str | None) -> None:
    """Only what is a unit is taken for one."""
    assert split_heading(heading) == (name, unit)


def column(value: float, unit: str | None = None) -> Column:
    return Column(np.zeros(1), np.array([value]), unit)


def test_a_column_is_found_by_any_name_that_means_only_it() -> None:
    """Heading, bare name, name with the unit of a row of its own, message and signal."""
    columns = Columns(
        {"U [V]": column(1), "Strom": column(2, "A"), "Speed": column(3)},
        {"Speed": ("Wheels.Speed",)},
    )
    assert list(columns) == ["U [V]", "Strom", "Speed"] and len(columns) == 3
    for name, value in [
        ("U [V]", 1), ("U", 1), ("u", 1), ("Strom [A]", 2), ("strom  (A)", 2), ("Wheels.Speed", 3),
    ]:  # fmt: skip
        assert columns[name].values[0] == value
    assert "I" not in columns and columns.get("I") is None


def test_a_name_that_means_two_columns_means_none() -> None:
    """``U`` is not guessed when there is a U in V and a U in mV."""
    columns = Columns({"U [V]": column(1), "U [mV]": column(2)})
    assert "U" not in columns and columns["U [mV]"].values[0] == 2
