"""Constants, read from tables that give each one's unit and source."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


def read_table(package: str, name: str) -> list[dict[str, str]]:
    """Read a table that ships inside a room.

    Parameters
    ----------
    package : str
        The room, for instance ``thawline.physics``.
    name : str
        File name of the table.

    Returns
    -------
    list of dict of str to str
        Its rows, by column.
    """
    text = files(package).joinpath(name).read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


@cache
def constants(package: str = "thawline.physics", name: str = "constants.csv") -> dict[str, float]:
    """Read a table of named constants.

    Parameters
    ----------
    package : str
        The room that the table belongs to.
    name : str
        File name of the table; it has the columns ``name``, ``value``, ``unit``, ``source``.

    Returns
    -------
    dict of str to float
        Values by name, in the unit that the table states.
    """
    return {row["name"]: float(row["value"]) for row in read_table(package, name)}
