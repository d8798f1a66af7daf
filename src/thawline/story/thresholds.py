"""Thresholds and hold times, each with its reason in ``thresholds.csv``."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files


@cache
def _rows() -> dict[str, float]:
    text = files("thawline.story").joinpath("thresholds.csv").read_text("utf-8")
    return {row["name"]: float(row["value"]) for row in csv.DictReader(text.splitlines())}


def threshold(name: str) -> float:
    """Look up a threshold.

    Parameters
    ----------
    name : str
        Name of a row of ``thresholds.csv``.

    Returns
    -------
    float
        Its value, in the unit of the row.

    Raises
    ------
    KeyError
        If there is no such row: a fault of ours.
    """
    return _rows()[name]
