"""Hold a vehicle file against the signal database that it names signals of."""

from __future__ import annotations

from typing import TYPE_CHECKING

from thawline.errors import DatabaseError, UnitError, nearest
from thawline.quantities import converter
from thawline.vehicle.finding import Finding
from thawline.vehicle.measures import unit_problem
from thawline.vehicle.paths import known_signal
from thawline.vehicle.problems import Problem, errors_of
from thawline.vehicle.vehicle import SignalSource, Vehicle

if TYPE_CHECKING:  # the database brings a heavy library along that this room does not use
    from thawline.signals.database import Database
    from thawline.signals.layout import SignalLayout


def _missing(source: SignalSource, error: DatabaseError) -> Problem:
    return Problem(source.line, f'signals."{source.path}"', error.what, error.cure)


def _label_problems(source: SignalSource, layout: SignalLayout) -> list[Problem]:
    labels = {label.strip().casefold(): label for label in layout.choices.values()}
    found = []
    for wanted in source.true_when:
        if not isinstance(wanted, str) or wanted.strip().casefold() in labels:
            continue
        what = f"true_when (={wanted!r}) is no label of {layout.key!r}"
        near = nearest(wanted, labels.values())
        if not labels:
            cure = "it has no labels: write codes"
        else:
            cure = f"did you mean {near!r}?" if near else f"it has {', '.join(labels.values())}"
        found.append(Problem(source.line, f'signals."{source.path}"', what, cure))
    return found


def _differ(unit: str, other: str) -> bool:
    try:
        return converter(unit, other) != (1.0, 0.0)
    except UnitError:
        return True


def _unit_findings(
    source: SignalSource, layout: SignalLayout
) -> tuple[list[Problem], list[Finding]]:
    """Compare units: the vehicle file's counts, then the database's, then the catalogue's."""
    signal = known_signal(source.path)
    stated = layout.unit.strip()
    if signal.is_state:
        return [], []
    if source.unit is not None:
        if not stated or not _differ(source.unit, stated):
            return [], []
        what = (
            f"the vehicle file gives {source.from_!r} in {source.unit!r}, the database in "
            f"{stated!r}; the vehicle file's unit is used."
        )
        return [], [Finding("unit-differs", source.line, what, "Make sure that it is right.")]
    if not stated:
        what = (
            f"neither the vehicle file nor the database states a unit for {source.from_!r}; its "
            f"values are taken as {signal.unit}."
        )
        cure = f'Say so with unit = "{signal.unit}", or name the right unit.'
        return [], [Finding("unit-missing", source.line, what, cure)]
    said = unit_problem(stated, signal)
    if said is None:
        return [], []
    what = f"the database's unit of {source.from_!r} does not fit: {said[0]}"
    cure = f'map the right signal, or state the right unit, such as unit = "{signal.unit}"'
    return [Problem(source.line, f'signals."{source.path}"', what, cure)], []


def check_against_database(vehicle: Vehicle, database: Database) -> list[Finding]:
    """Look for every signal of the vehicle file in the database.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    database : Database
        The signal database.

    Returns
    -------
    list of Finding
        Units that differ or are missing, in the order of the vehicle file.

    Raises
    ------
    VehicleFileError
        If a signal or a label is not in the database, or the database's unit measures
        something else than the path; the message lists every error, a line each.
    """
    problems: list[Problem] = []
    findings: list[Finding] = []
    for source in vehicle.signals.values():
        try:
            layout = database.signal(source.from_, source.bus)
        except DatabaseError as error:
            problems.append(_missing(source, error))
            continue
        wrong, odd = _unit_findings(source, layout)
        problems += wrong + _label_problems(source, layout)
        findings += odd
    if problems:
        raise errors_of(problems, vehicle.file)
    return findings
