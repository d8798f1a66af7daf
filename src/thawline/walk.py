"""The whole walk, from files to an explained morning; every door calls these functions.

files -> Recording -> Flows -> Story -> Ledger, Charge -> Explained
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from thawline.charge.split import split
from thawline.errors import InputError
from thawline.findings.find import find
from thawline.findings.finding import Figures
from thawline.ledger.account import account
from thawline.library.add import add_recording
from thawline.library.content import recording_id
from thawline.library.library import Library
from thawline.library.load import load
from thawline.library.notes import notes
from thawline.library.summing import AlreadyKeptError, start_summing
from thawline.recording.flows import make_flows
from thawline.recording.gather import gather
from thawline.recording.recording import Recording
from thawline.remembering import earlier_figures
from thawline.report.explained import Explained, Note
from thawline.signals.database import Database, read_database
from thawline.story.tell import tell
from thawline.teaching import known_limits
from thawline.vehicle.against_database import check_against_database
from thawline.vehicle.read import read_vehicle
from thawline.vehicle.vehicle import Vehicle

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Added:
    """What adding gave.

    Parameters
    ----------
    recording : Recording
        The recording as the library keeps it.
    is_new : bool
        False if the same content was there before.
    """

    recording: Recording
    is_new: bool


def add(
    files: Sequence[Path],
    databases: Sequence[Path],
    vehicle_file: Path,
    library: Library,
    *,
    starts_at: float | None = None,
    progress: Progress | None = None,
    keep_all: bool = False,
) -> Added:
    """Add files to a library as one recording.

    Parameters
    ----------
    files : sequence of Path
        Logs or tables of one occasion.
    databases : sequence of Path
        Signal databases; empty for tables.
    vehicle_file : Path
        The vehicle file.
    library : Library
        Where the recording is kept.
    starts_at : float, optional
        When it began, for logs without a date, since 1970-01-01 UTC [s].
    progress : callable, optional
        Called with the bytes done and the bytes in all.
    keep_all : bool
        Whether signals and columns that the vehicle file does not map are kept as well. It
        counts as part of the content: with them and without them are two recordings.

    Returns
    -------
    Added
        The recording, and whether it is new.

    Raises
    ------
    InputError
        If a file, a database or the vehicle file is at fault.
    LibraryError
        If the library cannot be written.
    """
    vehicle = read_vehicle(vehicle_file)
    dated = "" if starts_at is None else f"\n# starts at {starts_at}"
    whole = "\n# all is kept" if keep_all else ""
    summing = start_summing(library, files, vehicle.source + dated + whole, databases)
    try:
        vehicle, database = matched(vehicle, databases)
        recording = gather(
            files, vehicle, database, starts_at=starts_at, progress=summing.watching(progress),
            keep_all=keep_all, scratch=library.incoming,
        )  # fmt: skip
    except (AlreadyKeptError, InputError) as error:
        if (known := summing.known()) is None:
            raise error from None
        return Added(load(library, known), is_new=False)
    if (known := summing.known()) is not None:
        return Added(load(library, known), is_new=False)
    key = summing.key.result()
    recording = replace(recording, id=recording_id(vehicle.name, recording.starts_at, key))
    return Added(recording, is_new=add_recording(library, recording, key))


def matched(vehicle: Vehicle, databases: Sequence[Path]) -> tuple[Vehicle, Database | None]:
    """Read the databases and hold the vehicle file against them.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    databases : sequence of Path
        Signal databases; empty for tables.

    Returns
    -------
    Vehicle
        The same, with what was noticed among its warnings.
    Database or None
        The database; None for tables.

    Raises
    ------
    InputError
        If a database is at fault, or the vehicle file names what it lacks.
    """
    if not databases:
        return vehicle, None
    database = read_database(databases)
    noticed = tuple(str(finding) for finding in check_against_database(vehicle, database))
    return replace(vehicle, warnings=(*vehicle.warnings, *noticed)), database


def explain(
    recording: Recording,
    written: Sequence[tuple[float | None, str]] = (),
    earlier: Sequence[Figures] = (),
) -> Explained:
    """Explain a recording: what the car did, why, and where the energy went.

    Parameters
    ----------
    recording : Recording
        The recording.
    written : sequence of (float or None, str)
        Notes that people wrote, with their moments [s].
    earlier : sequence of Figures
        Figures of earlier mornings of the vehicle, for what only shows over time.

    Returns
    -------
    Explained
        Everything that a report shows.
    """
    flows = make_flows(recording)
    story = tell(recording, flows)
    ledger = account(recording, flows, story)
    charge = split(recording, flows)
    seen = find(recording, flows, story, ledger, earlier)
    said = tuple(Note(at_s, text) for at_s, text in written)
    return Explained(
        recording, flows, story, ledger, charge, seen.found, said,
        unchecked=seen.unchecked, figures=seen.figures,
    )  # fmt: skip


def explain_kept(library: Library, id_or_prefix: str) -> Explained:
    """Explain a recording that a library keeps, with the notes on it.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        The recording's name, or the beginning of it.

    Returns
    -------
    Explained
        Everything that a report shows.

    Raises
    ------
    RequestError
        If there is no such recording, or several.
    """
    recording = load(library, id_or_prefix)
    written = [(note.at_s, note.text) for note in notes(library, recording.id)]
    known = known_limits(library, recording.vehicle.name, but=(recording.id,))
    return replace(explain(recording, written, earlier_figures(library, recording)), known=known)
