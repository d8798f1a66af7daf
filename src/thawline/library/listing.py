"""List recordings and find one by name."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.library.library import Library


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
        Only those with these words in the name, the vehicle's name or a note.

    Returns
    -------
    list of Entry
        The recordings.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    raise NotImplementedError


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
    raise NotImplementedError


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
    raise NotImplementedError
