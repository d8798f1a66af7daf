"""The units that a reader chose: °C or °F, kWh or MJ; applied to numbers and to sentences.

References
----------
.. [1] NIST Special Publication 811, 2008 edition, appendix B.8 (from memory):
   t/°F = 1.8 t/°C + 32; an interval of 1 K is one of 1.8 °F; 1 kWh = 3.6 MJ.
"""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.quantities.units import convert, converter
from thawline.report.numbers import number, uncertain

#: Whole numbers that become less than this keep a decimal [1].
SMALL = 10.0
TEMPERATURES, ENERGIES = ("degC", "degF"), ("kWh", "MJ")

_N = r"(?<![\w.,:])[−-]?\d+(?:\.\d+)?"
_PAIR = rf"(?:(?P<first>{_N})(?P<link>\s(?:to|and|or)\s|–))?(?P<value>{_N})"
_SIGMA = rf"(?:\s?±\s?(?P<sigma>{_N}))?"
_ONLY = rf"±\s?(?P<only>{_N})"
_DEGREES = re.compile(rf"(?:{_ONLY}|{_PAIR}{_SIGMA})(?P<gap>\s?)°C(?!\w)")
_KELVINS = re.compile(rf"{_PAIR}{_SIGMA}(?P<gap>\s)K(?!\w)")
_ENERGIES = re.compile(rf"(?:{_ONLY}|{_PAIR}{_SIGMA})(?P<gap>\s?)kWh(?!\w)")
_CELL = re.compile(rf"(?P<value>{_N})(?:\s?±\s?(?P<sigma>{_N}))?")

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Choice:
    """The units that a reader chose.

    Parameters
    ----------
    temperature : str
        ``degC`` or ``degF``.
    energy : str
        ``kWh`` or ``MJ``.
    """

    temperature: str = "degC"
    energy: str = "kWh"

    @property
    def key(self) -> str:
        """A name for what is kept per choice."""
        return f"{self.temperature}-{self.energy}"

    def unit(self, unit: str) -> str:
        """Give the unit that stands for a catalogue unit.

        Parameters
        ----------
        unit : str
            Catalogue unit.

        Returns
        -------
        str
            The one to show.
        """
        return {"degC": self.temperature, "kWh": self.energy}.get(unit, unit)

    def values(self, values: Floats, unit: str) -> Floats:
        """Convert values to the unit that is shown.

        Parameters
        ----------
        values : ndarray of float64
            The values [unit].
        unit : str
            Their catalogue unit.

        Returns
        -------
        ndarray of float64
            The values in ``unit(unit)``.
        """
        return convert(values, unit, self.unit(unit)) if self.unit(unit) != unit else values


#: What the rest of the house uses.
USUAL = Choice()


def said(text: str, choice: Choice) -> str:
    """Write a sentence in the units that the reader chose.

    Parameters
    ----------
    text : str
        The sentence, in °C, K and kWh.
    choice : Choice
        The units.

    Returns
    -------
    str
        The sentence with its numbers converted, to as many decimals as before; uncertainties
        and intervals are converted as such.
    """
    if choice.temperature != "degC":
        factor, offset = converter("degC", choice.temperature)
        text = _DEGREES.sub(lambda found: _put(found, factor, offset, "°F"), text)
        text = _KELVINS.sub(lambda found: _put(found, factor, 0.0, "°F"), text)
    if choice.energy != "kWh":
        factor, offset = converter("kWh", choice.energy)
        text = _ENERGIES.sub(lambda found: _put(found, factor, offset, choice.energy), text)
    return text


def cell(text: str, symbol: str, choice: Choice, *, is_difference: bool = False) -> str:
    """Write a table's cell, whose unit stands in its heading, in the units chosen.

    Parameters
    ----------
    text : str
        The cell, such as ``−4.5 ± 0.3``.
    symbol : str
        ``°C``, ``K`` or ``kWh``; anything else leaves the cell as it is.
    choice : Choice
        The units.
    is_difference : bool
        Whether it is a difference of temperatures.

    Returns
    -------
    str
        The cell.
    """
    factor, offset = 1.0, 0.0
    if symbol in ("°C", "K"):
        factor, offset = converter("degC", choice.temperature)
    elif symbol == "kWh":
        factor, offset = converter("kWh", choice.energy)
    if factor == 1.0:
        return text
    zero = 0.0 if is_difference or symbol == "K" else offset

    def put(found: re.Match[str]) -> str:
        return _written(found["value"], found["sigma"], factor, zero)

    return _CELL.sub(put, text)


def heading(text: str, choice: Choice) -> str:
    """Write a heading or an axis title that ends in a unit.

    Parameters
    ----------
    text : str
        Such as ``coldest cell, °C``.
    choice : Choice
        The units.

    Returns
    -------
    str
        Such as ``coldest cell, °F``.
    """
    if choice.temperature != "degC":
        text = re.sub(r"°C(?!\w)", "°F", text)
    return re.sub(r"kWh(?!\w)", choice.energy, text) if choice.energy != "kWh" else text


def _put(found: re.Match[str], factor: float, offset: float, symbol: str) -> str:
    groups = found.groupdict()
    if groups.get("only"):
        return f"± {_written(groups['only'], None, factor, 0.0)}{groups['gap']}{symbol}"
    first = ""
    if groups["first"]:
        first = _written(groups["first"], None, factor, offset) + groups["link"]
    value = _written(groups["value"], groups["sigma"], factor, offset)
    return f"{first}{value}{groups['gap']}{symbol}"


def _written(value: str, sigma: str | None, factor: float, offset: float) -> str:
    found = _float(value) * factor + offset
    if sigma is not None:
        return uncertain(found, _float(sigma) * factor)
    decimals = len(value.partition(".")[2])
    if decimals == 0 and abs(found) < SMALL and found != round(found):
        decimals = 1  # 1 K is 1.8 °F, not 2
    return number(found, decimals)


def _float(text: str) -> float:
    return float(text.replace("−", "-"))
