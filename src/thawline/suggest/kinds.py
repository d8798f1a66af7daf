"""Say what a signal may measure: what its unit says, or all that its values allow."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from thawline.errors import UnitError
from thawline.physics.constants import read_table
from thawline.quantities import converter, measures_same
from thawline.quantities.units import tidy_unit
from thawline.suggest.candidate import Candidate

#: Spellings that state no unit.
NO_UNIT = frozenset({"", "-", "1", "none", "n/a", "unitless", "raw"})
#: Codes of states stay this small where no labels name them [1].
HIGHEST_CODE = 7
#: The same where there are just two, as fit into half a byte [1].
HIGHEST_OF_TWO = 15


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity.

    Parameters
    ----------
    name : str
        Such as ``temperature``.
    unit : str
        Unit in which values of this kind are compared.
    tried : tuple of str
        Units that are tried where the database states none.
    low, high : float
        What can be at all [unit].
    """

    name: str
    unit: str
    tried: tuple[str, ...]
    low: float
    high: float


@dataclass(frozen=True, slots=True)
class Reading:
    """A candidate taken as a quantity of some kind.

    Parameters
    ----------
    key : str
        The candidate's key.
    kind : str
        The kind.
    unit : str
        Unit of the source's values, as the vehicle file should have it.
    values : ndarray of float64, shape (n,)
        Values in the kind's unit [unit].
    step : float
        Smallest step in the kind's unit [unit].
    is_said : bool
        Whether the database states the unit; else it is a guess.
    order : int
        The candidate's place in the database [1].
    """

    key: str
    kind: str
    unit: str
    values: NDArray[np.float64]
    step: float
    is_said: bool
    order: int


@cache
def kinds() -> dict[str, Kind]:
    """Read the kinds.

    Returns
    -------
    dict of str to Kind
        By name.
    """
    return {
        row["kind"]: Kind(
            row["kind"],
            row["unit"],
            (row["unit"], *filter(None, row["also_tried"].split(";"))),
            float(row["low"]),
            float(row["high"]),
        )
        for row in read_table("thawline.suggest", "kinds.csv")
    }


@cache
def kind_of_unit(unit: str) -> str | None:
    """Say what a unit measures.

    Parameters
    ----------
    unit : str
        A unit as a database or the catalogue writes it.

    Returns
    -------
    str or None
        The kind's name; empty if no unit is stated; None if it is a unit of no kind of ours.
    """
    if unit.strip().lower() in NO_UNIT:
        return ""
    tidy = tidy_unit(unit)
    for kind in kinds().values():
        try:
            if measures_same(tidy, kind.unit):
                # an energy and a torque have the same dimensions; the spelling tells
                is_torque = "m" in tidy.lower().replace("wh", "") and "n" in tidy.lower()
                if kind.name in ("energy", "torque") and is_torque != (kind.name == "torque"):
                    continue
                return kind.name
        except UnitError:
            return None
    return None


def _fits(kind: Kind, values: NDArray[np.float64]) -> bool:
    seen = values[np.isfinite(values)]
    return bool(len(seen) and seen.min() >= kind.low and seen.max() <= kind.high)


def is_state(candidate: Candidate) -> bool:
    """Tell whether a signal without a unit is a state: labelled, or of a few small codes.

    Parameters
    ----------
    candidate : Candidate
        The candidate.

    Returns
    -------
    bool
        True if it is.
    """
    codes = candidate.codes
    if kind_of_unit(candidate.unit) != "" or not codes:
        return False
    whole = all(float(code).is_integer() and code >= 0.0 for code in codes)
    # nothing and 10 may be a flow; 9 and 10 are hardly anything but codes
    few_bits = candidate.most is not None and candidate.most <= HIGHEST_OF_TWO
    is_pair = len(codes) == 2 and (min(codes) > 0.0 or few_bits)
    highest = HIGHEST_OF_TWO if is_pair else HIGHEST_CODE
    return bool(candidate.labels) or (whole and max(codes) <= highest)


def readings_of(candidate: Candidate) -> list[Reading]:
    """List all that a candidate may measure.

    Parameters
    ----------
    candidate : Candidate
        The candidate.

    Returns
    -------
    list of Reading
        One if its unit is stated (none if its values cannot be), else several.
    """
    said = kind_of_unit(candidate.unit)
    if said is None or (not said and is_state(candidate)):
        return []
    found = []
    for kind in [kinds()[said]] if said else kinds().values():
        for unit in (candidate.unit,) if said else kind.tried:
            factor, offset = converter(tidy_unit(unit), kind.unit)
            values = factor * candidate.values + offset
            if _fits(kind, values):
                step = abs(factor) * candidate.step
                found.append(
                    Reading(
                        candidate.key, kind.name, unit, values, step, bool(said), candidate.order
                    )
                )
    return found


def all_readings(candidates: Sequence[Candidate]) -> dict[str, list[Reading]]:
    """List all readings of all candidates.

    Parameters
    ----------
    candidates : sequence of Candidate
        The candidates.

    Returns
    -------
    dict of str to list of Reading
        By kind.
    """
    found: dict[str, list[Reading]] = {name: [] for name in kinds()}
    for candidate in candidates:
        for reading in readings_of(candidate):
            found[reading.kind].append(reading)
    return found
