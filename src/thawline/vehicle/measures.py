"""Say what a unit measures, and whether that is what a path wants."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files

from thawline.errors import UnitError, nearest
from thawline.quantities import converter, measures_same
from thawline.quantities.units import SPELLINGS
from thawline.signals.catalogue import SignalName, catalogue


@cache
def _table() -> list[dict[str, str]]:
    text = files("thawline.vehicle").joinpath("measures.csv").read_text("utf-8")
    return list(csv.DictReader(text.splitlines()))


def what_it_measures(unit: str) -> str:
    """Say what a unit measures.

    Parameters
    ----------
    unit : str
        A unit that is known.

    Returns
    -------
    str
        For instance ``a voltage``.
    """
    found = (row["measures"] for row in _table() if measures_same(unit, row["unit"]))
    return next(found, "something else")


def _right(unit: str) -> str:
    """Name units that would be right."""
    also = next((row["also"] for row in _table() if measures_same(unit, row["unit"])), unit)
    return f"{unit!r} or {also!r}" if also != unit else f"{unit!r}"


def _too_large(unit: str, signal: SignalName) -> tuple[str, str] | None:
    """Tell of units such as ``kmph``, which is a thousand miles an hour to those who read units."""
    one = converter(unit, signal.unit or "dimensionless")[0]
    if abs(one) <= signal.high - signal.low:
        return None
    return (
        f"the unit {unit!r} is {one:.4g} {signal.unit}, more than this signal ever is "
        f"({signal.meaning})",
        f"write its right unit, such as {_right(signal.unit)}",
    )


def unit_problem(unit: str, signal: SignalName) -> tuple[str, str] | None:
    """Tell what is wrong with the unit given for a signal.

    Parameters
    ----------
    unit : str
        The unit, as a person or a database writes it.
    signal : SignalName
        The catalogue's row of the signal.

    Returns
    -------
    tuple of str, or None
        What is wrong and the cure; None if its values can be converted to the catalogue's unit.
    """
    wanted = signal.unit or "dimensionless"
    try:
        if measures_same(unit, wanted):
            return _too_large(unit, signal)
        measured = what_it_measures(unit)
    except UnitError:
        known = [*SPELLINGS, *catalogue_units(), *(row["also"] for row in _table())]
        fitting = [name for name in known if name and measures_same(name, wanted)]
        near = nearest(unit, fitting)
        cure = f"did you mean {near!r}?" if near and signal.unit else None
        what = f"the unit {unit!r} is unknown"
        return what, cure or (f"write {_right(wanted)}" if signal.unit else "leave the unit out")
    if not signal.unit:
        return (
            f"the unit {unit!r} measures {measured}, but this signal is on or off",
            "leave the unit out; true_when says which codes mean on",
        )
    return (
        f"the unit {unit!r} measures {measured}, but this signal is {what_it_measures(wanted)} "
        f"({signal.meaning})",
        f"write its right unit, such as {_right(wanted)}",
    )


@cache
def catalogue_units() -> tuple[str, ...]:
    """List the catalogue's units.

    Returns
    -------
    tuple of str
        Each unit once.
    """
    return tuple(dict.fromkeys(row.unit for row in catalogue().values() if row.unit))
