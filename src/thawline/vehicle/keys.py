"""The keys that a vehicle file may have, with their units and what can be true of them."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from thawline.quantities import converter


@dataclass(frozen=True, slots=True)
class Key:
    """One row of the table of keys.

    Parameters
    ----------
    table, key : str
        The table and the key in it.
    kind : str
        ``text``, ``number`` or ``count``.
    unit : str
        Unit of a number; empty for texts.
    low, high : float
        What can be true; infinite for texts [unit].
    usual_low, usual_high : float
        What is usual: a value in a mistaken unit is recognised by it [unit].
    mistaken : tuple of str
        Units in which people give the value by mistake, the likeliest first.
    is_needed : bool
        Whether a file without it is not valid.
    meaning : str
        What it is, in words.
    """

    table: str
    key: str
    kind: str
    unit: str
    low: float
    high: float
    usual_low: float
    usual_high: float
    mistaken: tuple[str, ...]
    is_needed: bool
    meaning: str

    @property
    def place(self) -> str:
        """How messages name it."""
        return f"[{self.table}] {self.key}"


def _number(text: str, otherwise: float) -> float:
    return float(text) if text else otherwise


@cache
def keys() -> dict[tuple[str, str], Key]:
    """Read the table of keys.

    Returns
    -------
    dict of tuple of str to Key
        The rows by table and key.
    """
    text = files("thawline.vehicle").joinpath("keys.csv").read_text("utf-8")
    infinite = float("inf")
    return {
        (row["table"], row["key"]): Key(
            table=row["table"],
            key=row["key"],
            kind=row["kind"],
            unit=row["unit"],
            low=_number(row["low"], -infinite),
            high=_number(row["high"], infinite),
            usual_low=_number(row["usual_low"], infinite),
            usual_high=_number(row["usual_high"], -infinite),
            mistaken=tuple(row["mistaken"].split(";")) if row["mistaken"] else (),
            is_needed=row["needed"] == "yes",
            meaning=row["meaning"],
        )
        for row in csv.DictReader(text.splitlines())
    }


def range_problem(key: Key, value: float) -> tuple[str, str] | None:
    """Tell what is wrong with a number that cannot be true.

    Parameters
    ----------
    key : Key
        The key that has it.
    value : float
        The number [unit].

    Returns
    -------
    tuple of str, or None
        What is wrong and the cure; None if the number can be true.
    """
    if key.low <= value <= key.high:
        return None
    unit = "" if key.unit == "dimensionless" else f" {key.unit}"
    what = f"{key.key} (={value:.10g}) must be in [{key.low:g}, {key.high:g}]{unit}"
    for mistaken in key.mistaken:
        factor, offset = converter(mistaken, key.unit)
        meant = factor * value + offset  # of any size: too large a number becomes infinite
        if key.usual_low <= meant <= key.usual_high:
            return what, f"if {value:.10g} is in {mistaken}, write {meant:.6g}"
    return what, f"give {key.meaning}" + (f" in{unit}" if unit else "")
