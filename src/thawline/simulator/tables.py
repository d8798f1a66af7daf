"""Read the room's own tables: kept apart from those of the rooms that it proves."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def table(name: str) -> tuple[dict[str, str], ...]:
    """Read a table of this room.

    Parameters
    ----------
    name : str
        File name.

    Returns
    -------
    tuple of dict of str to str
        Its rows.
    """
    text = files("thawline.simulator").joinpath(name).read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))


@cache
def constant(name: str) -> float:
    """Take a constant from the room's table.

    Parameters
    ----------
    name : str
        Its name.

    Returns
    -------
    float
        Its value in the table's unit.
    """
    return {row["name"]: float(row["value"]) for row in table("constants.csv")}[name]
