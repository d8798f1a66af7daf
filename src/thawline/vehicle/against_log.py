"""Hold a vehicle file against what a log holds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from thawline.errors import nearest
from thawline.sources.frames import Frames
from thawline.sources.table import Table
from thawline.vehicle.finding import Finding
from thawline.vehicle.vehicle import SignalSource, Vehicle

if TYPE_CHECKING:  # the database brings a heavy library along that this room does not use
    from thawline.signals.database import Database

VOLTAGE = "Powertrain.TractionBattery.CurrentVoltage"


@dataclass(frozen=True, slots=True)
class Logged:
    """What a log has of the signals of a vehicle file.

    Parameters
    ----------
    missing : frozenset of str
        Paths that the log has no sample of; empty where no log is at hand.
    findings : tuple of Finding
        The same for a person.
    voltage_V : float, optional
        Median of the pack voltage, where a table shows it [V].
    """

    missing: frozenset[str] = frozenset()
    findings: tuple[Finding, ...] = ()
    voltage_V: float | None = None


def _in_table(table: Table, source: SignalSource) -> bool:
    column = table.columns.get(source.from_)
    return column is not None and bool(np.isfinite(column.values).any())


def _in_frames(frames: Frames, source: SignalSource, database: Database | None) -> bool:
    """Tell whether the signal's message was on the bus; True where nothing can tell."""
    if database is None:
        return True
    rows = frames.identifier == database.signal(source.from_, source.bus).identifier
    if source.bus is not None and source.bus in frames.buses:
        rows &= frames.bus == frames.buses.index(source.bus)
    return bool(rows.any())


def _median_voltage(vehicle: Vehicle, sources: Sequence[Frames | Table]) -> float | None:
    from thawline.quantities import convert  # units take a while to load; few checks need them

    source = vehicle.signals.get(VOLTAGE)
    for log in sources if source is not None else ():
        column = log.columns.get(source.from_) if isinstance(log, Table) and source else None
        if source is not None and column is not None and np.isfinite(column.values).any():
            unit = source.unit or column.unit or "V"
            return float(np.nanmedian(convert(column.values, unit, "V")))
    return None


def what_is_logged(
    vehicle: Vehicle, database: Database | None, sources: Sequence[Frames | Table]
) -> Logged:
    """Find which of the vehicle file's signals a log holds.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    database : Database or None
        The signal database, for logs of frames.
    sources : sequence of Frames or Table
        The log; empty where none is at hand.

    Returns
    -------
    Logged
        What is missing.
    """
    if not sources:
        return Logged()
    missing: list[str] = []
    findings: list[Finding] = []
    columns = [name for log in sources if isinstance(log, Table) for name in log.columns]
    for path, source in vehicle.signals.items():
        if any(
            _in_table(log, source) if isinstance(log, Table) else _in_frames(log, source, database)
            for log in sources
        ):
            continue
        missing.append(path)
        near = nearest(source.from_, [name for name in columns if name != source.from_])
        cure = f"Did you mean {near!r}?" if near and source.from_ not in columns else ""
        what = f"the log has no sample of {source.from_!r} ({path})."
        findings.append(Finding("not-in-log", source.line, what, cure))
    return Logged(frozenset(missing), tuple(findings), _median_voltage(vehicle, sources))
