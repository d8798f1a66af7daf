"""Settings of how a cabin's heater is governed, each with its source in a table."""

from __future__ import annotations

from thawline.physics.constants import constants


def setting(name: str) -> float:
    """Look up a setting.

    Parameters
    ----------
    name : str
        Name of a row of ``cabin.csv``.

    Returns
    -------
    float
        Its value, in the unit of the row.
    """
    return constants("thawline.forecast", "cabin.csv")[name]
