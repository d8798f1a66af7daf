"""Thresholds and hold times, each with its reason in ``thresholds.csv``."""

from __future__ import annotations

from thawline.physics.constants import constants


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
    return constants("thawline.story", "thresholds.csv")[name]
