"""List recordings and find one by name."""

from __future__ import annotations

import difflib
from dataclasses import dataclass

from thawline.errors import RequestError
from thawline.library.catalogue import reading
from thawline.library.handle import Library

#: So many names are shown where a name fits none or several [1].
SHOWN = 5

_ENTRIES = """
SELECT id, vehicle, starts_at, duration_s, frames, frames_left_out, channels, samples, added_at,
    (SELECT count(*) FROM notes WHERE recording_id = id) AS notes,
    (SELECT group_concat(text, ' ') FROM notes WHERE recording_id = id) AS words
FROM recordings
WHERE starts_at >= :since AND starts_at < :until
ORDER BY starts_at, id
"""


@dataclass(frozen=True, slots=True)
class Entry:
    """One recording in a list.

    Parameters
    ----------
    id : str
        Its name.
    vehicle : str
        The vehicle's name.
    starts_at : float
        First sample, since 1970-01-01 UTC [s].
    duration_s : float
        From the first sample to the last [s].
    frames : int
        Frames read [1].
    frames_left_out : int
        Frames not used, for any reason [1].
    channels : int
        Channels kept [1].
    samples : int
        Samples kept, over all channels [1].
    notes : int
        Notes that people wrote on it [1].
    added_at : float
        When it was added, since 1970-01-01 UTC [s].
    """

    id: str
    vehicle: str
    starts_at: float
    duration_s: float
    frames: int
    frames_left_out: int
    channels: int
    samples: int
    notes: int
    added_at: float


def listing(
    library: Library,
    vehicle: str | None = None,
    since: float | None = None,
    until: float | None = None,
    text: str | None = None,
) -> list[Entry]:
    """List the recordings, in order of their start.

    Parameters
    ----------
    library : Library
        The library.
    vehicle : str, optional
        Only those of this vehicle; upper and lower case count as the same.
    since, until : float, optional
        Only those that start at or after, or before, this time since 1970-01-01 UTC [s].
    text : str, optional
        Only those with all of these words in the name, the vehicle's name or a note; upper and
        lower case count as the same.

    Returns
    -------
    list of Entry
        The recordings.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    span = {
        "since": float("-inf") if since is None else since,
        "until": float("inf") if until is None else until,
    }
    with reading(library) as rows:
        found = [dict(row) for row in rows.execute(_ENTRIES, span)]
    entries = []
    for row in found:
        searched = f"{row['id']} {row['vehicle']} {row.pop('words') or ''}".casefold()
        if vehicle is not None and row["vehicle"].casefold() != vehicle.strip().casefold():
            continue
        if all(word in searched for word in (text or "").casefold().split()):
            entries.append(Entry(**row))
    return entries


def _names(names: list[str]) -> str:
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    return ", ".join(names[:SHOWN]) + more


def find(library: Library, id_or_prefix: str) -> str:
    """Find a recording by its name or the beginning of it.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        The name, or the beginning of it if no other begins so.

    Returns
    -------
    str
        The whole name.

    Raises
    ------
    RequestError
        If there is no such recording, or several; the message lists near ones.
    LibraryError
        If the catalogue cannot be read.
    """
    with reading(library) as rows:
        names = [str(row["id"]) for row in rows.execute("SELECT id FROM recordings ORDER BY id")]
    if id_or_prefix in names:
        return id_or_prefix
    if not names:
        raise RequestError(
            f"there is no recording {id_or_prefix!r}: the library {library.folder} is empty",
            cure="add a log first",
        )
    sought = id_or_prefix.strip().casefold()
    fit = [name for name in names if sought and name.casefold().startswith(sought)]
    if len(fit) == 1:
        return fit[0]
    if fit:
        raise RequestError(
            f"{len(fit)} recordings begin with {id_or_prefix!r}: {_names(fit)}",
            cure="write more of the name",
        )
    near = [name for name in names if sought and sought in name.casefold()]
    near = near or difflib.get_close_matches(sought, names, n=SHOWN, cutoff=0.5)
    raise RequestError(
        f"there is no recording {id_or_prefix!r}",
        cure=f"near it: {_names(near)}" if near else f"there are {_names(names)}",
    )


def find_content(library: Library, content_key: str) -> str | None:
    """Find the recording that was made from the same content.

    Parameters
    ----------
    library : Library
        The library.
    content_key : str
        The sum that ``content_key`` gave.

    Returns
    -------
    str or None
        Its name, or None if there is none yet.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    with reading(library) as rows:
        row = rows.execute(
            "SELECT id FROM recordings WHERE content_key = ?", (content_key,)
        ).fetchone()
    return None if row is None else str(row["id"])
