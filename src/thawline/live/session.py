"""One occasion of listening, as its folder tells it to any program."""

from __future__ import annotations

import json
import os
import re
import shutil
import time
from collections.abc import Sequence
from dataclasses import asdict, dataclass
from datetime import UTC, datetime
from pathlib import Path

from thawline.errors import LibraryError, RequestError
from thawline.library.handle import Library
from thawline.live.lock import hold, let_go
from thawline.vehicle.vehicle import Vehicle

#: Layout of the folder [1].
LAYOUT = 1
DOCUMENT, JOURNAL, EVENTS = "session.json", "frames.log.gz", "events.jsonl"
VEHICLE = "vehicle.toml"


@dataclass(frozen=True, slots=True)
class ListenedBus:
    """A bus that is listened to.

    Parameters
    ----------
    name : str
        Its name in the recording.
    adapter : str
        The adapter, as the person wrote it; or the log that is played.
    told : str
        How it listens, in plain words.
    """

    name: str
    adapter: str
    told: str


@dataclass(frozen=True, slots=True)
class Session:
    """One occasion of listening.

    Parameters
    ----------
    id : str
        Its name.
    folder : Path
        Its folder in the library.
    vehicle : str
        The vehicle's name.
    pid : int
        The program that listens, or listened [1].
    started_at : float
        When it began, by its own clock, since 1970-01-01 UTC [s].
    buses : tuple of ListenedBus
        What it listens to.
    databases : tuple of str
        Names of the databases' copies in the folder.
    played : str or None
        The log that is played; None for a bus.
    speed : float
        How much faster than time a log is played [1].
    """

    id: str
    folder: Path
    vehicle: str
    pid: int
    started_at: float
    buses: tuple[ListenedBus, ...]
    databases: tuple[str, ...]
    played: str | None = None
    speed: float = 1.0

    @property
    def journal(self) -> Path:
        """The frames."""
        return self.folder / JOURNAL

    @property
    def events(self) -> Path:
        """Notes, and what happened to the adapters."""
        return self.folder / EVENTS

    @property
    def vehicle_file(self) -> Path:
        """The copy of the vehicle file."""
        return self.folder / VEHICLE

    @property
    def database_files(self) -> tuple[Path, ...]:
        """The copies of the databases."""
        return tuple(self.folder / name for name in self.databases)


def live_folder(library: Library) -> Path:
    """Give the folder that holds what is listened to now.

    Parameters
    ----------
    library : Library
        The library.

    Returns
    -------
    Path
        The folder; it may not be there yet.
    """
    return library.folder / "live"


def make_session(
    library: Library,
    vehicle: Vehicle,
    vehicle_file: Path,
    databases: Sequence[Path],
    buses: Sequence[ListenedBus],
    *,
    started_at: float,
    played: str | None = None,
    speed: float = 1.0,
) -> tuple[Session, int | None]:
    """Make the folder of a session, with copies of what is needed to recover it, and lock it.

    Parameters
    ----------
    library : Library
        The library.
    vehicle : Vehicle
        The vehicle.
    vehicle_file : Path
        Its file.
    databases : sequence of Path
        Signal databases.
    buses : sequence of ListenedBus
        What is listened to.
    started_at : float
        When it begins, by its own clock, since 1970-01-01 UTC [s].
    played : str, optional
        The log that is played.
    speed : float
        How much faster than time [1].

    Returns
    -------
    session : Session
        The session.
    held : int or None
        Its lock, to be let go at the end [1].

    Raises
    ------
    LibraryError
        If the folder cannot be written.
    """
    slug = re.sub(r"[^a-z0-9]+", "-", vehicle.name.lower()).strip("-")[:40] or "vehicle"
    when = datetime.fromtimestamp(time.time(), UTC).strftime("%Y%m%d-%H%M%S")
    name = f"{slug}-{when}-{os.getpid()}"
    folder = live_folder(library) / name
    copies = tuple(f"database-{i}{path.suffix}" for i, path in enumerate(databases))
    session = Session(
        name, folder, vehicle.name, os.getpid(), started_at, tuple(buses), copies, played, speed
    )
    held = None
    try:
        folder.mkdir(parents=True)
        held = hold(folder)  # before the document, without which nobody takes it for a session
        shutil.copyfile(vehicle_file, session.vehicle_file)
        for source, copy in zip(databases, session.database_files, strict=True):
            shutil.copyfile(source, copy)
        told = asdict(session) | {"layout": LAYOUT}
        del told["folder"]
        (folder / DOCUMENT).write_text(json.dumps(told, indent=1), encoding="utf-8")
    except OSError as error:
        if held is not None:
            let_go(held)
        shutil.rmtree(folder, ignore_errors=True)
        raise LibraryError(
            f"{folder} cannot be written: {error.strerror or error}. Make room, or choose another "
            "folder with --library or THAWLINE_LIBRARY."
        ) from error
    return session, held


def read_session(folder: Path) -> Session:
    """Read what a session's folder says.

    Parameters
    ----------
    folder : Path
        The folder.

    Returns
    -------
    Session
        The session.

    Raises
    ------
    RequestError
        If the folder is gone, damaged, or of a newer layout.
    """
    path = folder / DOCUMENT
    try:
        told = json.loads(path.read_text("utf-8"))
        layout = int(told.pop("layout"))
        if layout > LAYOUT:
            raise RequestError(
                f"its layout is {layout}, this version knows up to {LAYOUT}",
                file=path,
                cure="bring Thawline up to date",
            )
        buses = tuple(ListenedBus(**bus) for bus in told.pop("buses"))
        return Session(folder=folder, buses=buses, databases=tuple(told.pop("databases")), **told)
    except (OSError, ValueError, KeyError, TypeError) as error:
        raise RequestError(
            f"cannot be read: {getattr(error, 'strerror', None) or error}",
            file=path,
            cure="its frames, if any, are in frames.log.gz beside it: add that file by hand",
        ) from error
