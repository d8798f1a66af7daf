"""Thresholds and scatters of the findings, each with its source in a table."""

from __future__ import annotations

from thawline.physics.constants import constants


def setting(name: str) -> float:
    """Look up a setting.

    Parameters
    ----------
    name : str
        Name of a row of ``settings.csv``.

    Returns
    -------
    float
        Its value, in the unit of the row.
    """
    return constants("thawline.findings", "settings.csv")[name]
