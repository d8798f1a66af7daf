"""What a vehicle file makes possible, and what it lacks."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from thawline.vehicle.finding import Finding
from thawline.vehicle.vehicle import Vehicle


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
        What to add to the vehicle file; empty if nothing need be.
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


def check(vehicle: Vehicle, database: object | None, sources: Sequence[object] | None) -> Check:
    """Say what can be told from a vehicle's signals, and what cannot without more.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    database : Database or None
        The signal database, if there is one.
    sources : sequence of Frames or Table, or None
        What was logged, if a log is at hand.

    Returns
    -------
    Check
        What can, can roughly and cannot be told, and what is implausible.

    Raises
    ------
    VehicleFileError
        If the vehicle file does not fit the database.
    """
    raise NotImplementedError
