"""Read a vehicle file."""

from __future__ import annotations

import re
import tomllib
from pathlib import Path

from thawline.errors import VehicleFileError
from thawline.vehicle.places import find_places
from thawline.vehicle.problems import Problem, errors_of
from thawline.vehicle.signal_tables import check_signals
from thawline.vehicle.tables import SIGNALS, check_tables, unknown_keys
from thawline.vehicle.vehicle import (
    Cabin,
    Charger,
    Coolant,
    DriveUnits,
    Limits,
    Pack,
    Road,
    Vehicle,
)

_AT = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)$")


def _syntax_error(error: tomllib.TOMLDecodeError, text: str, file: str) -> VehicleFileError:
    message = str(error)
    where = _AT.search(message)
    lines = text.split("\n")
    line, column = len(lines), len(lines[-1]) + 1
    if where and where[1]:
        line, column = int(where[1]), int(where[2])
    seen = lines[min(line, len(lines)) - 1].strip()
    what = f"this is not TOML: {_AT.sub('', message)}" + (f", in {seen[:80]!r}" if seen else "")
    cure = "texts and paths with dots stand in quotes, numbers do not; # begins a comment"
    return VehicleFileError(what, file=file, place=f"line {line}, column {column}", cure=cure)


def read_vehicle(path: Path) -> Vehicle:
    """Read a vehicle file.

    Parameters
    ----------
    path : Path
        The TOML file.

    Returns
    -------
    Vehicle
        All that the file says; ``warnings`` holds what was noticed and passed over.

    Raises
    ------
    VehicleFileError
        If the file cannot be read or is not valid; the message lists every error, a line each.
    """
    file = str(path)
    try:
        content = path.read_bytes()
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or str(error)
        raise VehicleFileError(
            f"cannot be read: {reason}", file=file, cure="check the path of the vehicle file"
        ) from error
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        line = content[: error.start].count(b"\n") + 1
        raise VehicleFileError(
            f"the byte 0x{content[error.start]:02x} is not UTF-8 text",
            file=file,
            place=f"line {line}",
            cure="save the vehicle file as UTF-8 text",
        ) from error
    return read_vehicle_text(text, file)


def read_vehicle_text(text: str, file: str) -> Vehicle:
    """Read the text of a vehicle file.

    Parameters
    ----------
    text : str
        The TOML text.
    file : str
        The file's name, for messages.

    Returns
    -------
    Vehicle
        All that the text says.

    Raises
    ------
    VehicleFileError
        If the text is not valid; the message lists every error, a line each.
    """
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise _syntax_error(error, text, file) from error
    except RecursionError as error:
        raise VehicleFileError("lists or tables are nested too deep", file=file) from error
    places = find_places(text)
    odd: list[Problem] = unknown_keys(data, places)
    model, problems = check_tables(data, places)
    signals, wrong, strange = check_signals(data.get(SIGNALS, {}), places)
    problems += wrong
    if problems or model is None:
        raise errors_of(problems, file)
    warnings = sorted([*odd, *strange], key=lambda problem: problem.line)
    return Vehicle(
        name=model.vehicle.name,
        pack=Pack(**dict(model.pack)),
        drive_units=DriveUnits(**dict(model.drive_units)),
        limits=Limits(**dict(model.limits)),
        charger=Charger(**dict(model.charger)),
        cabin=Cabin(**dict(model.cabin)),
        coolant=Coolant(**dict(model.coolant)),
        road=Road(**dict(model.road)),
        signals=signals,
        time_column=model.table.time,
        source=text,
        file=file,
        warnings=tuple(str(problem.as_error(file)) for problem in warnings),
        model=model.vehicle.model,
    )
