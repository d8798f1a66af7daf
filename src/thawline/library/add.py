"""Add a recording to a library, or take one out."""

from __future__ import annotations

import json
import time
from contextlib import closing

from thawline.errors import RequestError
from thawline.library.catalogue import writing
from thawline.library.folder import Packed, discard, pack, put, settle, unsettle
from thawline.library.handle import Library
from thawline.library.listing import find, find_content
from thawline.library.rows import insert, printable
from thawline.library.stale import mark_stale
from thawline.recording.recording import Recording


def add_recording(library: Library, recording: Recording, content_key: str) -> bool:
    """Add a recording; all of it or nothing.

    Parameters
    ----------
    library : Library
        The library.
    recording : Recording
        The recording, its ``id`` made by ``recording_id``.
    content_key : str
        The sum that ``content_key`` gave.

    Returns
    -------
    bool
        False if the same content is already there; then nothing is changed.

    Raises
    ------
    LibraryError
        If it cannot be written, for instance because the disk is full.
    RequestError
        If another recording has that ``id``, or the ``id`` cannot be a name.
    """
    if not recording.id or printable(recording.id) != recording.id:
        raise RequestError(f"{recording.id!r} cannot be the name of a recording")
    if find_content(library, content_key) is not None:
        return False
    with closing(pack(recording, content_key, time.time(), library.incoming)) as packed:
        return _add(library, recording, content_key, packed)


def _add(library: Library, recording: Recording, content_key: str, packed: Packed) -> bool:
    # The transaction spans the writing of the folder: a leftover folder is thus known to be one
    # whenever the catalogue can be locked, on any platform and after any kill.
    with writing(library) as rows:
        if rows.execute(
            "SELECT 1 FROM recordings WHERE content_key = ?", (content_key,)
        ).fetchone():
            return False
        if rows.execute("SELECT 1 FROM recordings WHERE id = ?", (recording.id,)).fetchone():
            raise RequestError(
                f"another recording is already named {recording.id!r}",
                cure="remove that one, or give this one another name",
            )
        folder = put(library, packed)
        insert(rows, folder.name, json.loads(packed.document))
    settle(folder)
    return True


def remove(library: Library, id_or_prefix: str) -> str:
    """Take a recording and its notes out of the library.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        Its name, or the beginning of it if no other begins so.

    Returns
    -------
    str
        The name of the recording that was removed.

    Raises
    ------
    RequestError
        If there is no such recording, or several.
    LibraryError
        If the library cannot be written.
    """
    name = find(library, id_or_prefix)
    with writing(library) as rows:
        row = rows.execute(
            "SELECT folder, vehicle, starts_at FROM recordings WHERE id = ?", (name,)
        ).fetchone()
        if row is None:  # another program removed it a moment ago
            return name
        folder = library.recordings / str(row["folder"])
        unsettle(folder)
        rows.execute("DELETE FROM recordings WHERE id = ?", (name,))
        mark_stale(rows, str(row["vehicle"]), float(row["starts_at"]))
    discard(library, folder)
    return name
