"""Load a recording from a library."""

from __future__ import annotations

from collections.abc import Collection

from thawline.library.library import Library
from thawline.recording.recording import Recording


def load(
    library: Library,
    id_or_prefix: str,
    before_s: float | None = None,
    paths: Collection[str] | None = None,
) -> Recording:
    """Load a recording, all of it or what was known at a time.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        Its name, or the beginning of it if no other begins so.
    before_s : float, optional
        No sample after this time since the recording's start; what the recording says of
        itself (duration, gaps, quality, resolution) is cut or estimated anew likewise [s].
    paths : collection of str, optional
        Read these channels only; a path that was not recorded is left out.

    Returns
    -------
    Recording
        Equal to the one that was added.

    Raises
    ------
    RequestError
        If there is no such recording, or several, or ``before_s`` is before its start.
    LibraryError
        If the catalogue or the samples cannot be read.
    """
    raise NotImplementedError
