"""Speed over time, as a table has it."""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thawline.errors import SourceError, UnitError
from thawline.physics.constants import read_table
from thawline.quantities import convert
from thawline.sources.by_suffix import open_source
from thawline.sources.table import Column, Table

Array = NDArray[np.float64]
#: Faster than any car on a road [km/h], and steeper than any road [percent].
FASTEST, STEEPEST = 300.0, 45.0
#: Harder than tyres can hold [m/s2]: a trace with it is no car's.
HARDEST = 12.0
SPEEDS, SLOPES = ("speed", "velocity", "cycle", "vehspd"), ("slope", "grade", "gradient")


@dataclass(frozen=True, slots=True)
class Trace:
    """Speed over time, straight between points.

    Parameters
    ----------
    name : str
        What it is.
    t : ndarray of float64, shape (n,)
        Times since its beginning, rising [s].
    speed_km_per_h : ndarray of float64, shape (n,)
        Speed [km/h].
    slope_percent : ndarray of float64, shape (n,)
        Rise over run from each point on [percent].
    origin : str
        Where it comes from, in plain words.
    """

    name: str
    t: Array
    speed_km_per_h: Array
    slope_percent: Array
    origin: str = ""

    @property
    def km(self) -> float:
        """Its length [km]."""
        return float(np.trapezoid(self.speed_km_per_h, self.t) / 3600.0)

    @property
    def duration_s(self) -> float:
        """How long it lasts [s]."""
        return float(self.t[-1] - self.t[0])


def _unit_of(name: str, column: Column, file: Path) -> str:
    if column.unit:
        return column.unit
    lowered = name.lower().replace(" ", "_")
    for row in read_table("thawline.trip", "speed_names.csv"):
        if lowered.endswith(row["ending"]):
            return row["unit"]
    raise SourceError(
        f"the column {name!r} has no unit", file=file,
        cure="write it into the heading, for instance speed [km/h] or speed_m_per_s",
    )  # fmt: skip


def _one(table: Table, words: tuple[str, ...], file: Path) -> tuple[str, Column] | None:
    found = [
        (name, column)
        for name, column in table.columns.items()
        if any(word in name.lower() for word in words)
    ]
    if len(found) > 1:
        names = ", ".join(repr(name) for name, _ in found)
        raise SourceError(
            f"several columns may be the {words[0]}: {names}", file=file,
            cure="leave only one of them in the table",
        )  # fmt: skip
    return found[0] if found else None


def _refuse(file: Path, t: float, what: str, cure: str) -> None:
    raise SourceError(what, file=file, place=f"at {t:g} s", cure=cure)


def checked(trace: Trace, file: Path) -> Trace:
    """See that a trace is one that a car could drive.

    Parameters
    ----------
    trace : Trace
        The trace.
    file : Path
        For messages.

    Returns
    -------
    Trace
        The same trace.

    Raises
    ------
    SourceError
        If it is not.
    """
    t, v, slope = trace.t, trace.speed_km_per_h, trace.slope_percent
    if len(t) < 2:
        raise SourceError(
            f"a speed trace needs two points or more, not {len(t)}", file=file,
            cure="give a row for each second",
        )  # fmt: skip
    if (stuck := np.flatnonzero(np.diff(t) <= 0.0)).size:
        _refuse(file, float(t[stuck[0]]), "time does not rise", "sort the rows by time")
    for values, low, high, unit, name in (
        (v, 0.0, FASTEST, "km/h", "speed"),
        (slope, -STEEPEST, STEEPEST, "percent", "slope"),
    ):
        bad = np.flatnonzero(~((values >= low) & (values <= high)))
        if bad.size:
            at = int(bad[0])
            what = f"{name} (={values[at]:.6g}) must be in [{low:g}, {high:g}] {unit}"
            _refuse(file, float(t[at]), what, "correct the row, or the unit in the heading")
    gain = np.diff(v) / 3.6 / np.diff(t)
    if (hard := np.flatnonzero(np.abs(gain) > HARDEST)).size:
        at = int(hard[0])
        what = f"acceleration (={gain[at]:.3g}) must be in [-{HARDEST:g}, {HARDEST:g}] m/s2"
        _refuse(file, float(t[at]), what, "correct the row, or the unit in the heading")
    if trace.km <= 0.0:
        raise SourceError("the car never moves", file=file, cure="give a trace with some speed")
    return trace


def read_trace(path: Path) -> Trace:
    """Read a speed trace.

    Parameters
    ----------
    path : Path
        CSV, TSV or Parquet with a time, a speed with its unit in the heading, and a slope in
        percent if there is one.

    Returns
    -------
    Trace
        The trace, its time counted from its first row.

    Raises
    ------
    SourceError
        If it cannot be read, has no such columns, or is not one that a car could drive.
    """
    path = Path(path)
    table = open_source(path)
    cure = "give a table with the columns time_s and speed_km_per_h"
    if not isinstance(table, Table):
        raise SourceError("this is a bus log, not a table of speeds", file=path, cure=cure)
    speed, slope = _one(table, SPEEDS, path), _one(table, SLOPES, path)
    if speed is None:
        names = ", ".join(repr(name) for name in table.columns) or "none"
        raise SourceError(f"no column is a speed; there are {names}", file=path, cure=cure)
    name, column = speed
    try:
        v = convert(column.values, _unit_of(name, column, path), "km/h")
    except UnitError as error:
        raise SourceError(f"the column {name!r}: {error}", file=path, cure=cure) from error
    empty = np.flatnonzero(np.isnan(v))
    if empty.size:
        _refuse(path, float(column.t[empty[0]]), "the speed is missing", "fill the row or drop it")
    steep = np.zeros(len(v))
    if slope is not None:
        share = 100.0 if slope[1].unit in ("1", "dimensionless") else 1.0
        steep = np.interp(column.t, slope[1].t, np.nan_to_num(slope[1].values)) * share
    start = float(column.t[0]) if len(column.t) else 0.0
    trace = Trace(path.stem, column.t - start, np.asarray(v), steep, f"the table {path.name}")
    return checked(trace, path)
