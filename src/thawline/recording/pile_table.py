"""Pile up what a table of decoded columns holds."""

from __future__ import annotations

from pathlib import Path

import numpy as np

from thawline.errors import SourceError, VehicleFileError, did_you_mean
from thawline.recording.pile import GAP_AT_LEAST_S, Pile
from thawline.recording.recording import ClockStep, Quality
from thawline.recording.samples import Raw
from thawline.recording.times import ClockState, mend
from thawline.sources.table import Column, Table
from thawline.vehicle.vehicle import SignalSource, Vehicle

#: Times may jump backward in this share of a table's rows at most [1].
BACKWARD_SHARE = 0.05


def _find(table: Table, spec: SignalSource) -> Column | None:
    """Find a column by its name, else by the last part of it if that is unique."""
    if spec.from_ in table.columns:
        return table.columns[spec.from_]
    last = spec.from_.rsplit(".", 1)[-1].strip().lower()
    alike = [
        column
        for name, column in table.columns.items()
        if name.strip().lower() in (spec.from_.strip().lower(), last)
        or name.rsplit(".", 1)[-1].strip().lower() == last
    ]
    return alike[0] if len(alike) == 1 else None


def _mended(column: Column, path: Path) -> tuple[Column, tuple[tuple[float, float], ...], int]:
    """Take the clock's jumps out of one column; rows written twice are dropped."""
    backward = np.flatnonzero(np.diff(column.t) < 0.0)
    if len(backward) > max(1.0, BACKWARD_SHARE * len(column.t)):
        at = int(backward[0])
        raise SourceError(
            f"time runs backward {len(backward)} times, first from {column.t[at]:.3f} s to "
            f"{column.t[at + 1]:.3f} s at row {at + 2}",
            file=path,
            cure="put the table in the order of time, or name the right time column in the "
            'vehicle file: [table] time = "..."',
        )
    keys = np.nan_to_num(column.values).view(np.uint64)
    mended = mend(column.t, keys, ClockState())
    keep = mended.keep
    kept = Column(mended.t[keep], column.values[keep], column.unit, column.labels)
    return kept, mended.steps, int((~keep).sum())


def pile_table(table: Table, vehicle: Vehicle, path: Path, *, keep_all: bool = False) -> Pile:
    """Pile up the samples of a table.

    Parameters
    ----------
    table : Table
        The table.
    vehicle : Vehicle
        Says which columns are wanted.
    path : Path
        The file, for messages.
    keep_all : bool
        Whether columns that are not mapped are kept too.

    Returns
    -------
    Pile
        The samples of every mapped column, and of the others if they are kept.

    Raises
    ------
    SourceError
        If the table is not in the order of time.
    VehicleFileError
        If no mapped column is in the table.
    """
    raws: dict[str, Raw] = {}
    missing: list[SignalSource] = []
    steps: tuple[tuple[float, float], ...] = ()
    duplicates = 0
    others = dict(table.columns) if keep_all else {}
    for spec in vehicle.signals.values():
        column = _find(table, spec)
        if column is None:
            missing.append(spec)
            continue
        others = {name: other for name, other in others.items() if other is not column}
        column, found, twice = _mended(column, path)
        steps, duplicates = max(steps, found, key=len), max(duplicates, twice)
        raws[spec.path] = _raw_of(column)
    if not raws:
        names = ", ".join(list(table.columns)[:12])
        first = missing[0].from_ if missing else ""
        raise VehicleFileError(
            f"none of the columns that it names is in {path.name}, which has: {names}",
            file=vehicle.file,
            place=f"line {missing[0].line}" if missing and missing[0].line else None,
            cure=did_you_mean(first, table.columns) or "name the columns in `from`",
        )
    warnings = [
        f"{spec.path}: the table has no column {spec.from_!r}. "
        + (did_you_mean(spec.from_, table.columns) or "").strip()
        for spec in missing
    ]
    t = np.unique(np.concatenate([raw.t for raw in raws.values()]))
    change = np.diff(t)
    silent = tuple((float(t[i]), float(t[i + 1])) for i in np.flatnonzero(change > GAP_AT_LEAST_S))
    quality = Quality(
        table.rows,
        dict(table.left_out),
        tuple(ClockStep(at, by) for at, by in steps),
        duplicates,
        (*table.warnings, *(text.strip() for text in warnings)),
    )
    median = float(np.median(change)) if len(change) else 0.0
    rest = {name: _raw_of(_mended(column, path)[0]) for name, column in others.items()}
    return Pile(raws, float(t[0]), float(t[-1]), silent, median, table.is_epoch, quality, rest)


def _raw_of(column: Column) -> Raw:
    codes = column.values if column.labels else None
    return Raw(column.t, column.values, column.unit, codes, dict(column.labels))
