"""Numbers with a standard uncertainty that remember what they share.

The ``uncertainties`` package keeps, for each number, how it depends on independent causes;
sums and differences of numbers that rest on one sensor are then right by themselves.
"""

from __future__ import annotations

from uncertainties import UFloat as UFloat  # type: ignore[import-untyped]  # ships no types
from uncertainties import ufloat

from thawline.physics.constants import read_table

#: The package warns of a standard uncertainty of nothing: this little stands for it [unit].
LEAST = 1e-12
#: A number that is exactly zero.
NOTHING: UFloat = ufloat(0.0, LEAST)


def cause(sigma: float) -> UFloat:
    """Make a new independent cause of error.

    Parameters
    ----------
    sigma : float
        Its standard uncertainty [unit].

    Returns
    -------
    UFloat
        Zero, plus or minus that.
    """
    return ufloat(0.0, max(float(sigma), LEAST))


def around(value: float, sigma: float) -> UFloat:
    """Make a number with an uncertainty that it shares with no other.

    Parameters
    ----------
    value : float
        The number [unit].
    sigma : float
        Its standard uncertainty [unit].

    Returns
    -------
    UFloat
        The number, plus or minus that.
    """
    return ufloat(float(value), max(float(sigma), LEAST))


def nominal(number: UFloat) -> float:
    """Take the value of a number.

    Parameters
    ----------
    number : UFloat
        The number.

    Returns
    -------
    float
        Its value, without the uncertainty.
    """
    return float(number.nominal_value)


def deviation(number: UFloat) -> float:
    """Take the standard uncertainty of a number.

    Parameters
    ----------
    number : UFloat
        The number.

    Returns
    -------
    float
        Its standard uncertainty.
    """
    sigma = float(number.std_dev)
    return sigma if sigma > 1e3 * LEAST else 0.0


def prior(name: str) -> UFloat:
    """Take a prior from the room's table.

    Parameters
    ----------
    name : str
        Name of the row of ``priors.csv``.

    Returns
    -------
    UFloat
        Its value and standard uncertainty, independent of all other draws.
    """
    row = next(row for row in read_table("thawline.ledger", "priors.csv") if row["name"] == name)
    return around(float(row["value"]), float(row["sigma"]))
