"""The accuracy of a sensor, as a vehicle file states it."""

from __future__ import annotations

import re
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.errors import UnitError
from thawline.quantities.units import converter

_SHAPE = re.compile(r"^\s*(?:±|\+/-|\+-)?\s*([0-9]*\.?[0-9]+(?:[eE][-+]?[0-9]+)?)\s*(.*?)\s*$")


@dataclass(frozen=True, slots=True)
class Accuracy:
    """A sensor's accuracy, read as one standard uncertainty.

    Parameters
    ----------
    absolute : float
        The part that does not depend on the value [catalogue unit].
    relative : float
        The part in proportion to the value [1].
    """

    absolute: float = 0.0
    relative: float = 0.0

    def of(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Give the standard uncertainty of each value.

        Parameters
        ----------
        values : ndarray of float
            Values in the catalogue's unit [unit].

        Returns
        -------
        ndarray of float
            Standard uncertainty, of the same shape and unit.
        """
        return np.hypot(self.absolute, self.relative * np.abs(values))


def parse_accuracy(text: str, to: str) -> Accuracy:
    """Read an accuracy such as ``1 %`` or ``0.5 A``.

    A percentage means per cent of the value, except for signals that are themselves
    percentages, where ``0.5 %`` means half a point.

    Parameters
    ----------
    text : str
        The accuracy as the vehicle file has it.
    to : str
        The catalogue's unit of the signal.

    Returns
    -------
    Accuracy
        The accuracy in that unit.

    Raises
    ------
    UnitError
        If the text is not a number with a unit, or the unit does not fit.
    """
    match = _SHAPE.match(text)
    if match is None:
        raise UnitError(f"the accuracy {text!r} must be a number with a unit, such as '1 %'")
    number, unit = float(match[1]), match[2]
    if not unit:
        raise UnitError(f"the accuracy {text!r} lacks a unit: write '1 %' or '0.5 {to}'")
    if unit == "%" and to != "percent":
        return Accuracy(relative=number / 100.0)
    if to in ("degC", "degF"):
        unit = {"degC": "K", "°C": "K", "C": "K", "K": "K"}.get(unit, unit)
        if unit in ("degF", "°F", "F"):
            return Accuracy(absolute=number / 1.8)
        return Accuracy(absolute=number * converter(unit, "K")[0])
    return Accuracy(absolute=number * converter(unit, to)[0])
