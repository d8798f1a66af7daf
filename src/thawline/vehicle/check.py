"""What a vehicle file makes possible, and what it lacks."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from thawline.signals.catalogue import find_signal
from thawline.vehicle.against_database import check_against_database
from thawline.vehicle.against_log import Logged, what_is_logged
from thawline.vehicle.capabilities import Capabilities, Told, capabilities
from thawline.vehicle.finding import Finding
from thawline.vehicle.keys import keys
from thawline.vehicle.plausible import implausible
from thawline.vehicle.reach import CAN, CANNOT, ROUGHLY, Reach, advice, meaning_of
from thawline.vehicle.vehicle import Vehicle

if TYPE_CHECKING:  # the database brings a heavy library along that this room does not use
    from thawline.signals.database import Database
    from thawline.sources.frames import Frames
    from thawline.sources.table import Table

_PLACED = re.compile(r"line (\d+)[,:] (.*)$", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Capability:
    """Something that can be told about a morning, or not.

    Parameters
    ----------
    group : str
        ``turning-point``, ``lane``, ``electrical``, ``heat``, ``charge``, ``why-not`` or
        ``forecast``.
    name : str
        What it is called within its group, for instance ``coldest-cell-thaws``.
    verdict : str
        ``can``, ``can_roughly`` or ``cannot``.
    how : str
        From what it is found; empty if it cannot be.
    because : str
        Why only roughly (which prior stands in), or why not; empty if it can be.
    cure : str
        What to add to the vehicle file; empty if nothing need be, or nothing would help.
    """

    group: str
    name: str
    verdict: str
    how: str
    because: str
    cure: str


@dataclass(frozen=True, slots=True)
class Check:
    """The result of a check of a vehicle file.

    Parameters
    ----------
    vehicle : str
        The vehicle's name.
    file : str
        The vehicle file's name.
    capabilities : tuple of Capability
        In the order of the table of capabilities.
    findings : tuple of Finding
        What else was noticed.
    """

    vehicle: str
    file: str
    capabilities: tuple[Capability, ...]
    findings: tuple[Finding, ...]


def _of_file(vehicle: Vehicle) -> list[Finding]:
    """Turn the reader's warnings into findings."""
    found = []
    for text in vehicle.warnings:
        said = _PLACED.match(text.removeprefix(vehicle.file).lstrip(", :"))
        line, what = (int(said[1]), said[2]) if said else (0, text)
        found.append(Finding("file", line, what))
    return found


def _there(vehicle: Vehicle, logged: Logged, table: Capabilities) -> frozenset[str]:
    """Name the signals and keys that are there."""
    mapped = {
        row.path
        for path in vehicle.signals
        if path not in logged.missing and (row := find_signal(path)) is not None
    }
    signals = {name for name, paths in table.signals.items() if mapped.intersection(paths)}
    given = {
        key.place
        for key in keys().values()
        if getattr(getattr(vehicle, key.table, None), key.key, None) is not None
    }
    return frozenset(signals | given)


def _capability(told: Told, reach: Reach, table: Capabilities) -> Capability:
    exact = reach.route(told.ways, is_rough=False)
    if exact is not None and not exact.missing:
        return Capability(told.group, told.name, CAN, exact.how, "", "")
    rough = reach.route(told.ways, is_rough=True)
    if rough is not None and not rough.missing:
        cure = "" if exact is None else advice(exact.missing, table)
        because = "; ".join(rough.because)
        return Capability(told.group, told.name, ROUGHLY, rough.how, because, cure)
    nearest = min(
        (route for route in (exact, rough) if route is not None),
        key=lambda route: route.cost,
    )
    missing = "; ".join(meaning_of(name, table) for name in nearest.missing)
    because = f"not in the vehicle file: {missing}"
    cure = f"{advice(nearest.missing, table)}, for instance"
    return Capability(told.group, told.name, CANNOT, "", because, cure)


def check(
    vehicle: Vehicle,
    database: Database | None,
    sources: Sequence[Frames | Table] | None,
) -> Check:
    """Say what can be told from a vehicle's signals, and what cannot without more.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    database : Database or None
        The signal database, if there is one.
    sources : sequence of Frames or Table, or None
        What was logged, if a log is at hand; mapped signals that are not in it count as
        missing.

    Returns
    -------
    Check
        What can, can roughly and cannot be told, and what is implausible.

    Raises
    ------
    VehicleFileError
        If the vehicle file does not fit the database.
    """
    table = capabilities()
    findings = [] if database is None else check_against_database(vehicle, database)
    logged = what_is_logged(vehicle, database, sources or ())
    reach = Reach(table, _there(vehicle, logged, table))
    return Check(
        vehicle=vehicle.name,
        file=vehicle.file,
        capabilities=tuple(_capability(told, reach, table) for told in table.told),
        findings=(
            *_of_file(vehicle),
            *findings,
            *logged.findings,
            *implausible(vehicle, database, logged),
        ),
    )
