"""Notes that people write on recordings."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.library.library import Library


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
    raise NotImplementedError


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
    raise NotImplementedError
