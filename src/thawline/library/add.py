"""Add a recording to a library, or take one out."""

from __future__ import annotations

from thawline.library.library import Library
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
        If another recording has that ``id``.
    """
    raise NotImplementedError


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
    raise NotImplementedError
