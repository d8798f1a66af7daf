"""Settings of the first trip, each with its source in ``settings.csv``."""

from __future__ import annotations

from thawline.physics.constants import constants


def setting(name: str) -> float:
    """Read a setting.

    Parameters
    ----------
    name : str
        Its name in ``settings.csv``.

    Returns
    -------
    float
        Its value, in the unit that the table states [unit].
    """
    return constants("thawline.trip", "settings.csv")[name]
