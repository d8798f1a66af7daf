"""Events of a session: what the person did, and what happened to the adapters.

A file of JSON lines that is only ever added to; each line is on disk before the call returns. A
line that a kill or a full disk cut is passed over.
"""

from __future__ import annotations

import json
import os
import time
from dataclasses import asdict, dataclass
from pathlib import Path

from thawline.errors import LibraryError, RequestError
from thawline.live.heartbeat import heartbeat
from thawline.live.session import Session

#: Longest text of a note [1].
LONGEST = 2000
NOTE, LOST, BACK, DROPPED = "note", "lost", "back", "dropped"


@dataclass(frozen=True, slots=True)
class Event:
    """Something that happened.

    Parameters
    ----------
    at : float
        When, by the session's clock, since 1970-01-01 UTC [s].
    kind : str
        ``note``, ``lost`` (an adapter), ``back`` or ``dropped`` (frames, on a full disk).
    text : str
        The person's words, or the reason.
    bus : str
        The bus; empty for notes.
    """

    at: float
    kind: str
    text: str
    bus: str = ""


def write_event(path: Path, event: Event) -> None:
    """Write an event down.

    Parameters
    ----------
    path : Path
        The file of events.
    event : Event
        The event.

    Raises
    ------
    OSError
        If it cannot be written.
    """
    # a line end before it, too: what a full disk cut must not spoil what follows
    line = "\n" + json.dumps(asdict(event)) + "\n"
    handle = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_APPEND, 0o644)
    try:
        view = memoryview(line.encode("utf-8"))
        while view:
            view = view[os.write(handle, view) :]
        os.fsync(handle)
    finally:
        os.close(handle)


def read_events(path: Path) -> tuple[Event, ...]:
    """Read the events of a session.

    Parameters
    ----------
    path : Path
        The file of events; it may not be there.

    Returns
    -------
    tuple of Event
        In the order in which they were written.
    """
    try:
        lines = path.read_text("utf-8", errors="replace").splitlines()
    except OSError:
        return ()
    found = []
    for line in lines:
        try:
            told = json.loads(line)
            found.append(Event(float(told["at"]), told["kind"], told["text"], told["bus"]))
        except (ValueError, KeyError, TypeError):
            continue
    return tuple(found)


def write_note(session: Session, text: str, at: float | None = None) -> Event:
    """Write down what the person did, or saw; from any program.

    Parameters
    ----------
    session : Session
        The session.
    text : str
        The person's words.
    at : float, optional
        Its moment by the session's clock, since 1970-01-01 UTC; None: now [s].

    Returns
    -------
    Event
        The note.

    Raises
    ------
    RequestError
        If it says nothing.
    LibraryError
        If it cannot be written, for instance because the session ended or the disk is full.
    """
    words = " ".join(text.split())[:LONGEST]
    if not words:
        raise RequestError("a note must say something", cure="give it a text")
    if at is None:
        beat, wall = heartbeat(session), time.time()
        at = wall if beat is None else beat.clock(wall)
    note = Event(at, NOTE, words)
    if not session.folder.is_dir():
        raise LibraryError(
            f"{session.id} is no longer listening. Write the note on the recording it became: "
            "thawline note ID TEXT --at SECONDS."
        )
    try:
        write_event(session.events, note)
    except OSError as error:
        raise LibraryError(f"the note cannot be written: {error.strerror or error}.") from error
    return note
