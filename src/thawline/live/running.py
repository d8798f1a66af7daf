"""Which sessions run, which broke off, and which recordings they became."""

from __future__ import annotations

import json
from pathlib import Path

from thawline.errors import InputError, RequestError, did_you_mean
from thawline.library.handle import Library
from thawline.live.lock import is_held
from thawline.live.session import Session, live_folder, read_session

#: One JSON line for each session that became a recording.
BECAME = "became.jsonl"


def _sessions(library: Library) -> list[Session]:
    folder = live_folder(library)
    found = []
    for path in sorted(folder.iterdir()) if folder.is_dir() else []:
        if path.is_dir():
            try:
                found.append(read_session(path))
            except InputError:  # it is being made, or being taken away, or of a newer version
                continue
    return found


def running(library: Library) -> tuple[Session, ...]:
    """List the sessions whose program lives.

    Parameters
    ----------
    library : Library
        The library.

    Returns
    -------
    tuple of Session
        In order of their names.
    """
    return tuple(session for session in _sessions(library) if is_held(session.folder))


def leftover(library: Library) -> tuple[Session, ...]:
    """List the sessions that broke off before they became recordings.

    Parameters
    ----------
    library : Library
        The library.

    Returns
    -------
    tuple of Session
        In order of their names.
    """
    return tuple(session for session in _sessions(library) if not is_held(session.folder))


def find_session(library: Library, id_or_prefix: str) -> Session:
    """Find a running session.

    Parameters
    ----------
    library : Library
        The library.
    id_or_prefix : str
        Its name, or the beginning of it if no other begins so.

    Returns
    -------
    Session
        The session.

    Raises
    ------
    RequestError
        If there is no such session, or several.
    """
    sessions = {session.id: session for session in running(library)}
    if id_or_prefix in sessions:
        return sessions[id_or_prefix]
    fit = [name for name in sessions if id_or_prefix and name.startswith(id_or_prefix)]
    if len(fit) == 1:
        return sessions[fit[0]]
    names = ", ".join(fit or sessions) or "none"
    raise RequestError(
        f"{'several sessions begin' if fit else 'no session that runs begins'} with "
        f"{id_or_prefix!r}",
        cure=did_you_mean(id_or_prefix, sessions) or f"there are: {names}",
    )


def became_file(library: Library) -> Path:
    """Give the file that says which recordings sessions became.

    Parameters
    ----------
    library : Library
        The library.

    Returns
    -------
    Path
        The file; it may not be there.
    """
    return live_folder(library) / BECAME


def recording_of(library: Library, session_id: str) -> str | None:
    """Tell which recording a session became.

    Parameters
    ----------
    library : Library
        The library.
    session_id : str
        The session's name.

    Returns
    -------
    str or None
        The recording's name; None if it became none (yet).
    """
    try:
        lines = became_file(library).read_text("utf-8").splitlines()
    except OSError:
        return None
    for line in reversed(lines):
        try:
            told = json.loads(line)
            if told["session"] == session_id:
                return str(told["recording"])
        except (ValueError, KeyError, TypeError):
            continue
    return None
