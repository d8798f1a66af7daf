"""Vehicles that are known already: their files are kept, so that a log alone can be added."""

from __future__ import annotations

import hashlib
import json
import shutil
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from thawline.errors import RequestError, did_you_mean
from thawline.library.content import recording_id
from thawline.library.library import Library
from thawline.library.listing import listing
from thawline.library.load import load
from thawline.vehicle.read import read_vehicle

#: The file that lists what is kept of a vehicle.
TOLD = "kept.json"


@dataclass(frozen=True, slots=True)
class Known:
    """A vehicle that is known already.

    Parameters
    ----------
    name : str
        Its name.
    vehicle_file : Path or None
        Its vehicle file; None where only a recording remembers it.
    databases : tuple of Path
        Its signal databases.
    """

    name: str
    vehicle_file: Path | None
    databases: tuple[Path, ...]


def _folder(library: Library, name: str) -> Path:
    slug = recording_id(name, float("nan"), "").rsplit("-undated", 1)[0]
    return library.folder / "vehicles" / f"{slug}-{hashlib.sha256(name.encode()).hexdigest()[:8]}"


def keep(library: Library, vehicle_file: Path, databases: Sequence[Path]) -> None:
    """Keep the files of a vehicle for the next log; they replace those kept before.

    Parameters
    ----------
    library : Library
        The library.
    vehicle_file : Path
        Its vehicle file, which can be read.
    databases : sequence of Path
        Its signal databases.
    """
    name = read_vehicle(vehicle_file).name
    folder = _folder(library, name)
    new = folder.with_name(f"{folder.name}.new")
    shutil.rmtree(new, ignore_errors=True)
    new.mkdir(parents=True)
    shutil.copyfile(vehicle_file, new / "vehicle.toml")
    files = []
    for number, database in enumerate(databases):
        files.append(f"{number}-{database.name}")
        shutil.copyfile(database, new / files[-1])
    (new / TOLD).write_text(json.dumps({"name": name, "databases": files}), "utf-8")
    shutil.rmtree(folder, ignore_errors=True)
    new.replace(folder)


def known_vehicles(library: Library) -> list[Known]:
    """List the vehicles of which a log alone may be enough.

    Parameters
    ----------
    library : Library
        The library.

    Returns
    -------
    list of Known
        By name; first those whose files are kept.
    """
    found: dict[str, Known] = {}
    for told in sorted((library.folder / "vehicles").glob(f"*/{TOLD}")):
        try:
            kept = json.loads(told.read_text("utf-8"))
            files = tuple(told.parent / Path(name).name for name in kept["databases"])
            found[kept["name"]] = Known(str(kept["name"]), told.parent / "vehicle.toml", files)
        except (OSError, ValueError, KeyError, TypeError):
            continue  # what cannot be read is as good as not kept
    for entry in listing(library):
        found.setdefault(entry.vehicle, Known(entry.vehicle, None, ()))
    return sorted(found.values(), key=lambda each: (each.vehicle_file is None, each.name))


def files_of(library: Library, name: str, folder: Path) -> tuple[Path, tuple[Path, ...]]:
    """Give the files of a known vehicle.

    Parameters
    ----------
    library : Library
        The library.
    name : str
        The vehicle's name.
    folder : Path
        Where its vehicle file may be written if only a recording remembers it.

    Returns
    -------
    vehicle_file : Path
        Its vehicle file.
    databases : tuple of Path
        Its signal databases; empty if none are kept.

    Raises
    ------
    RequestError
        If the vehicle is not known.
    """
    known = {each.name: each for each in known_vehicles(library)}
    if name not in known:
        raise RequestError(
            f"the vehicle {name!r} is not known",
            cure=did_you_mean(name, known) or "give its vehicle file",
        )
    each = known[name]
    if each.vehicle_file is not None:
        return each.vehicle_file, each.databases
    latest = [entry.id for entry in listing(library, vehicle=name)][-1]
    path = folder / "vehicle.toml"
    path.write_text(load(library, latest, paths=()).vehicle.source, "utf-8")
    return path, ()
