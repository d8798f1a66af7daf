"""The settings of learning, each with its reason in ``learning.csv``."""

from __future__ import annotations

from thawline.physics.constants import constants


def setting(name: str) -> float:
    """Take a setting from the table.

    Parameters
    ----------
    name : str
        Name of the row of ``learning.csv``.

    Returns
    -------
    float
        Its value, in the table's unit.
    """
    return constants("thawline.charge", "learning.csv")[name]
