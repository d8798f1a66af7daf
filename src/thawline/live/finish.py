"""Make an ordinary recording of a session, at its end or after it broke off."""

from __future__ import annotations

import json
import os
import shutil
from collections.abc import Callable
from dataclasses import dataclass, replace
from pathlib import Path

from thawline.errors import InputError, LibraryError
from thawline.library.add import add_recording
from thawline.library.content import content_key, recording_id
from thawline.library.handle import Library
from thawline.library.listing import find_content
from thawline.library.load import load
from thawline.library.notes import add_note, notes
from thawline.live.events import BACK, DROPPED, LOST, NOTE, Event, read_events
from thawline.live.interruptions import add_gaps, interruptions
from thawline.live.journal_tail import cut_to_whole
from thawline.live.running import became_file, recording_of
from thawline.live.session import Session
from thawline.recording.gather import gather
from thawline.recording.recording import Recording
from thawline.signals.database import read_database
from thawline.vehicle.against_database import check_against_database
from thawline.vehicle.read import read_vehicle

Progress = Callable[[int, int], None]


@dataclass(frozen=True, slots=True)
class Finished:
    """What a session became.

    Parameters
    ----------
    recording : Recording or None
        The recording; None if no frame ever came.
    frames_file : Path or None
        Where the frames are kept; None if they are not.
    notes : int
        Notes that went along [1].
    """

    recording: Recording | None
    frames_file: Path | None
    notes: int


def logs_folder(library: Library) -> Path:
    """Give the folder that keeps the frames of what was listened to.

    Parameters
    ----------
    library : Library
        The library.

    Returns
    -------
    Path
        The folder; it may not be there yet.
    """
    return library.folder / "logs"


def finish(
    session: Session,
    library: Library,
    *,
    keep_frames: bool = True,
    progress: Progress | None = None,
) -> Finished:
    """Make a recording of a session; its folder goes when the recording is safe.

    Doing it again after it broke off half way makes nothing twice.

    Parameters
    ----------
    session : Session
        The session, which must have ended.
    library : Library
        The library.
    keep_frames : bool
        Whether the frames stay as a log, for signals that are mapped later.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Returns
    -------
    Finished
        The recording.

    Raises
    ------
    InputError
        If no recording can be made of the frames; they are kept as a log, and the message names
        it.
    LibraryError
        If the library cannot be written; the session stays as it is.
    """
    if not session.journal.exists():  # broken off after all was done, but for the folder
        became = recording_of(library, session.id)
        shutil.rmtree(session.folder, ignore_errors=True)
        return Finished(None if became is None else load(library, became), None, 0)
    if cut_to_whole(session.journal) == 0:
        shutil.rmtree(session.folder, ignore_errors=True)
        return Finished(None, None, 0)
    try:
        recording = _recording(session, library, progress)
    except InputError as error:
        saved = _keep_log(session, library, session.id)
        shutil.rmtree(session.folder, ignore_errors=True)
        raise type(error)(
            f"the frames made no recording: {error.what}",
            file=saved,
            cure=f"the frames are safe there; {error.cure or 'add that file by hand'}",
        ) from error
    written = _add_notes(session, library, recording)
    _tell_became(session, library, recording.id)
    log = _keep_log(session, library, recording.id) if keep_frames else None
    shutil.rmtree(session.folder, ignore_errors=True)
    return Finished(recording, log, written)


def _recording(session: Session, library: Library, progress: Progress | None) -> Recording:
    vehicle = read_vehicle(session.vehicle_file)
    database = read_database(session.database_files)
    noticed = tuple(str(finding) for finding in check_against_database(vehicle, database))
    vehicle = replace(vehicle, warnings=(*vehicle.warnings, *noticed))
    key = content_key([session.journal], vehicle.source, session.database_files)
    known = find_content(library, key)
    if known is not None:
        return load(library, known)
    recording = gather(
        [session.journal], vehicle, database, progress=progress, scratch=library.incoming
    )
    name = recording_id(vehicle.name, recording.starts_at, key)
    recording = _with_events(replace(recording, id=name), session)
    add_recording(library, recording, key)
    return recording


def _with_events(recording: Recording, session: Session) -> Recording:
    """Tell what happened to the adapters and the disk."""
    events = read_events(session.events)
    broken = interruptions(
        [event for event in events if event.kind in (LOST, BACK)],
        len(session.buses),
        recording.starts_at,
        recording.duration_s,
    )
    told = [each.told for each in broken]
    told += [
        f"{_when(event, recording)}: {event.text}" for event in events if event.kind == DROPPED
    ]
    told += [f"{bus.name}: {bus.told}" for bus in session.buses]
    quality = replace(recording.quality, warnings=(*recording.quality.warnings, *told))
    gaps = add_gaps(recording.gaps, [each for each in broken if each.is_whole])
    return replace(recording, gaps=gaps, quality=quality)


def _when(event: Event, recording: Recording) -> str:
    return f"{event.at - recording.starts_at:.1f} s"


def _add_notes(session: Session, library: Library, recording: Recording) -> int:
    there = {(note.at_s, note.text) for note in notes(library, recording.id)}
    wrote = [event for event in read_events(session.events) if event.kind == NOTE]
    for event in wrote:
        at_s = min(max(event.at - recording.starts_at, 0.0), recording.duration_s)
        if (at_s, event.text) not in there:
            add_note(library, recording.id, at_s, event.text)
    return len(wrote)


def _keep_log(session: Session, library: Library, name: str) -> Path:
    log = logs_folder(library) / f"{name}.log.gz"
    try:
        log.parent.mkdir(exist_ok=True)
        session.journal.replace(log)
    except OSError as error:
        raise LibraryError(f"{log} cannot be written: {error.strerror or error}.") from error
    return log


def _tell_became(session: Session, library: Library, name: str) -> None:
    line = json.dumps({"session": session.id, "recording": name}) + "\n"
    try:
        with became_file(library).open("a", encoding="utf-8") as file:
            file.write(line)
            file.flush()
            os.fsync(file.fileno())
    except OSError:  # only pages that follow the session would miss it
        return
