"""Notes that people write on recordings."""

from __future__ import annotations

import time
from dataclasses import dataclass

from thawline.errors import RequestError
from thawline.library.catalogue import reading, writing
from thawline.library.handle import Library
from thawline.library.listing import find
from thawline.library.rows import printable


@dataclass(frozen=True, slots=True)
class Note:
    """A note on a recording.

    Parameters
    ----------
    at_s : float or None
        The moment that it is about, since the recording's start; None: all of it [s].
    text : str
        What it says.
    written_at : float
        When it was written, since 1970-01-01 UTC [s].
    """

    at_s: float | None
    text: str
    written_at: float


def add_note(library: Library, id_or_prefix: str, at_s: float | None, text: str) -> Note:
    """Write a note on a recording.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        The recording's name, or the beginning of it if no other begins so.
    at_s : float or None
        The moment that it is about, since the recording's start; None: all of it [s].
    text : str
        What it says.

    Returns
    -------
    Note
        The note as it is kept.

    Raises
    ------
    RequestError
        If there is no such recording, the moment is outside it, or the text is empty.
    LibraryError
        If the library cannot be written.
    """
    name = find(library, id_or_prefix)
    said = printable(text.strip())
    if not said:
        raise RequestError("a note must say something", cure="give it a text")
    note = Note(None if at_s is None else float(at_s), said, time.time())
    with writing(library) as rows:
        row = rows.execute("SELECT duration_s FROM recordings WHERE id = ?", (name,)).fetchone()
        if row is None:
            raise RequestError(f"the recording {name!r} was removed a moment ago")
        if note.at_s is not None and not 0.0 <= note.at_s <= row["duration_s"]:
            raise RequestError(
                f"the moment (={note.at_s:g} s) must be in the recording {name}",
                cure=f"give one in [0, {row['duration_s']:.0f}] s",
            )
        rows.execute(
            "INSERT INTO notes (recording_id, at_s, text, written_at) VALUES (?, ?, ?, ?)",
            (name, note.at_s, note.text, note.written_at),
        )
    return note


def notes(library: Library, id_or_prefix: str) -> list[Note]:
    """Read the notes on a recording.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        The recording's name, or the beginning of it if no other begins so.

    Returns
    -------
    list of Note
        In the order in which they were written.

    Raises
    ------
    RequestError
        If there is no such recording, or several.
    LibraryError
        If the catalogue cannot be read.
    """
    name = find(library, id_or_prefix)
    with reading(library) as rows:
        found = rows.execute(
            "SELECT at_s, text, written_at FROM notes WHERE recording_id = ? ORDER BY number",
            (name,),
        ).fetchall()
    return [Note(row["at_s"], row["text"], row["written_at"]) for row in found]
