"""Numbers with their units, as people read them."""

from __future__ import annotations

import csv
import math
import re
from functools import cache
from importlib.resources import files

from thawline.ledger.rounding import decimals, plus_minus

#: Digits after the point that are ever worth writing, whatever the uncertainty [1].
FINEST = 4
NO_BREAK = "\u00a0"
#: A space that belongs to a number and its unit.
UNIT_AFTER_NUMBER = re.compile(
    r"(?<=\d) (?=(?:kWh?|°C|%|km/h|l/min|min|s|h|K|A|V|W|points|±)(?!\w))|(?<=±) (?=\d)"
)


@cache
def _units() -> dict[str, tuple[str, int]]:
    text = files("thawline.report").joinpath("units.csv").read_text("utf-8")
    return {
        row["unit"]: (row["symbol"], int(row["decimals"]))
        for row in csv.DictReader(text.splitlines())
    }


def symbol(unit: str) -> str:
    """Write a catalogue unit as it is printed.

    Parameters
    ----------
    unit : str
        Catalogue unit, such as ``degC``; empty for states.

    Returns
    -------
    str
        Its symbol, such as ``°C``; an unknown unit as it is.
    """
    return _units().get(unit, (unit, 2))[0]


def number(value: float, decimals: int) -> str:
    """Write a number with a true minus sign and without a negative zero.

    Parameters
    ----------
    value : float
        The number [1].
    decimals : int
        Digits after the point [1].

    Returns
    -------
    str
        The number; ``not known`` if it is not finite.
    """
    if not math.isfinite(value):
        return "not known"
    text = f"{value:.{decimals}f}"
    if float(text) == 0.0:
        text = text.removeprefix("-")
    return text.replace("-", "−")


def quantity(value: float | None, unit: str) -> str:
    """Write a value with its unit.

    Parameters
    ----------
    value : float or None
        The value; for an empty unit a state, 0 or 1 [unit].
    unit : str
        Catalogue unit; empty for states.

    Returns
    -------
    str
        Such as ``−12.5 °C``, ``on`` or ``not known``.
    """
    if value is None or not math.isfinite(value):
        return "not known"
    if unit == "" and value in (0.0, 1.0):
        return "on" if value else "off"
    mark, decimals = _units().get(unit, (unit, 2))
    return f"{number(value, decimals)} {mark}".rstrip()


def uncertain(value: float | None, sigma: float | None) -> str:
    """Write a value with its standard uncertainty, both to the digits that they are worth.

    Parameters
    ----------
    value : float or None
        The value [unit].
    sigma : float or None
        Its standard uncertainty [unit].

    Returns
    -------
    str
        Such as ``3.52 ± 0.31``, rounded as the Particle Data Group does, to at most four
        decimals; ``not known`` where there is no value.
    """
    if value is None or not math.isfinite(value):
        return "not known"
    if sigma is None or not math.isfinite(sigma) or sigma <= 0.0:
        return plus_minus(value, math.nan, "").strip()
    if decimals(sigma) <= FINEST:
        return plus_minus(value, sigma, "").strip()
    error = number(sigma, FINEST)
    return number(value, FINEST) + (f" ± {error}" if float(error) else "")


def tied(value: object) -> object:
    """Keep a number and its unit on one line, whatever the width of the page.

    Parameters
    ----------
    value : object
        What is about to be written.

    Returns
    -------
    object
        Text with no-break spaces before units and around ±; anything else, and what is
        marked as safe, as it is.
    """
    if type(value) is not str:
        return value
    return UNIT_AFTER_NUMBER.sub(NO_BREAK, value)
