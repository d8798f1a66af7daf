"""Settings and priors of the warm-up model, each with its source in a table."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache

from thawline.physics.constants import constants, read_table


@dataclass(frozen=True, slots=True)
class Belief:
    """What is believed of a parameter before anything is measured.

    Parameters
    ----------
    value : float
        Median [unit].
    sigma : float
        Standard deviation, of the logarithm if ``is_log`` [1 or unit].
    unit : str
        Unit of the value.
    is_log : bool
        Whether the parameter is positive and its logarithm is normal.
    """

    value: float
    sigma: float
    unit: str
    is_log: bool = True


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
    return constants("thawline.warmup", "settings.csv")[name]


@cache
def _beliefs() -> dict[str, Belief]:
    return {
        row["name"]: Belief(
            float(row["value"]), float(row["sigma"]), row["unit"], row["scale"] == "log"
        )
        for row in read_table("thawline.warmup", "priors.csv")
    }


def belief(name: str) -> Belief:
    """Look up a prior.

    Parameters
    ----------
    name : str
        Name of a row of ``priors.csv``.

    Returns
    -------
    Belief
        Median, spread and unit.
    """
    return _beliefs()[name]
