"""What each reason counts, in log-odds; ``weights.csv`` has them with their meaning."""

from __future__ import annotations

from functools import cache

from thawline.physics.constants import read_table


@cache
def _weights() -> dict[str, float]:
    rows = read_table("thawline.suggest", "weights.csv")
    return {row["name"]: float(row["weight"]) for row in rows}


def weight(name: str) -> float:
    """Look up what a reason counts.

    Parameters
    ----------
    name : str
        Name of a row of ``weights.csv``.

    Returns
    -------
    float
        Log-odds [1].

    Raises
    ------
    KeyError
        If there is no such row: a fault of ours.
    """
    return _weights()[name]
