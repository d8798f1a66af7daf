"""Read the room's own tables: kept apart from those of the rooms that it proves."""

from __future__ import annotations

import csv
from bisect import bisect_right
from collections.abc import Sequence
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


def on_curve(at: float, points: Sequence[float], values: Sequence[float]) -> float:
    """Read a curve of straight lines; many times quicker for one number than for arrays.

    Parameters
    ----------
    at : float
        Where; beyond the curve its ends hold [unit].
    points : sequence of float
        Places in rising order [unit].
    values : sequence of float
        Values there [unit].

    Returns
    -------
    float
        The value [unit].
    """
    i = bisect_right(points, at)
    if i == 0:
        return values[0]
    if i == len(points):
        return values[-1]
    share = (at - points[i - 1]) / (points[i] - points[i - 1])
    return values[i - 1] + share * (values[i] - values[i - 1])
