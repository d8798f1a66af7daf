"""Convert between units as databases write them and units as the catalogue wants them."""

from __future__ import annotations

from functools import cache

import numpy as np
import pint
from numpy.typing import NDArray

from thawline.errors import UnitError

#: How databases and lab files write units that pint reads differently, or not at all.
SPELLINGS = {
    "%": "percent",
    "pct": "percent",
    "perc": "percent",
    "°c": "degC",
    "ºc": "degC",
    "℃": "degC",
    "c": "degC",
    "degc": "degC",
    "deg c": "degC",
    "deg_c": "degC",
    "celsius": "degC",
    "°f": "degF",
    "ºf": "degF",
    "f": "degF",
    "degf": "degF",
    "deg f": "degF",
    "fahrenheit": "degF",
    "kph": "km/h",
    "kmh": "km/h",
    "kmph": "km/h",
    "km/hr": "km/h",
    "mph": "mile/hour",
    "lpm": "l/min",
    "l/min": "l/min",
    "l/h": "l/hour",
    "lph": "l/hour",
    "amp": "A",
    "amps": "A",
    "volt": "V",
    "volts": "V",
    "watt": "W",
    "watts": "W",
    "nm": "N*m",
    "n.m": "N*m",
    "n m": "N*m",
    # turns, not radians: pint would count 2 pi of them to a turn
    "rpm": "1/minute",
    "1/min": "1/minute",
    "min-1": "1/minute",
    "u/min": "1/minute",
    "hz": "1/second",
    "1/s": "1/second",
    "-": "dimensionless",
    "": "dimensionless",
    "bool": "dimensionless",
}


@cache
def _registry() -> pint.UnitRegistry[float]:
    return pint.UnitRegistry(autoconvert_offset_to_baseunit=True, cache_folder=None)


def tidy_unit(unit: str) -> str:
    """Write a unit the way pint reads it.

    Parameters
    ----------
    unit : str
        A unit as a database, a column heading or a person writes it.

    Returns
    -------
    str
        The same unit in pint's spelling.
    """
    stripped = unit.strip().strip("[]()").strip()
    return SPELLINGS.get(stripped.lower(), stripped)


def _parse(unit: str) -> pint.Unit:
    try:
        return _registry().Unit(tidy_unit(unit))
    except Exception as error:  # pint raises half a dozen kinds, some of them bare
        raise UnitError(f"the unit {unit!r} is unknown") from error


def measures_same(unit: str, other: str) -> bool:
    """Tell whether two units measure the same thing.

    Parameters
    ----------
    unit, other : str
        Units as databases or people write them.

    Returns
    -------
    bool
        True if a value in one can be converted to the other.

    Raises
    ------
    UnitError
        If a unit is unknown.
    """
    return bool(_parse(unit).dimensionality == _parse(other).dimensionality)


@cache
def converter(unit: str, to: str) -> tuple[float, float]:
    """Find the factor and the offset that convert one unit to another.

    Parameters
    ----------
    unit : str
        The unit that values are in.
    to : str
        The unit wanted.

    Returns
    -------
    tuple of float
        ``factor`` and ``offset``: ``wanted = factor * value + offset``.

    Raises
    ------
    UnitError
        If a unit is unknown, or the two measure different things.
    """
    if not measures_same(unit, to):
        raise UnitError(f"the unit {unit!r} cannot be converted to {to!r}")
    quantity = _registry().Quantity
    here, there = _parse(unit), _parse(to)
    if here == there:
        return 1.0, 0.0
    zero = float(quantity(0.0, here).to(there).magnitude)
    one = float(quantity(1.0, here).to(there).magnitude)
    # differences of converted values carry rounding; the offset alone does not
    span = float(quantity(1e6, here).to(there).magnitude)
    factor = (span - zero) / 1e6
    return (one - zero if abs(zero) < 1e-12 else factor), (0.0 if abs(zero) < 1e-12 else zero)


def convert(values: NDArray[np.float64], unit: str, to: str) -> NDArray[np.float64]:
    """Convert values from one unit to another.

    Parameters
    ----------
    values : ndarray of float
        Values in ``unit`` [unit].
    unit : str
        The unit that they are in.
    to : str
        The unit wanted.

    Returns
    -------
    ndarray of float
        Values in ``to``, of the same shape.

    Raises
    ------
    UnitError
        If a unit is unknown, or the two measure different things.
    """
    factor, offset = converter(unit, to)
    if factor == 1.0 and offset == 0.0:
        return values
    return values * factor + offset
