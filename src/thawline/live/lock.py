"""Tell whether the program of a session still lives: it holds a lock that dies with it."""

from __future__ import annotations

import os
import sys
from pathlib import Path

LOCK = "lock"


def _take(handle: int) -> None:
    if sys.platform == "win32":
        import msvcrt

        msvcrt.locking(handle, msvcrt.LK_NBLCK, 1)
    else:
        import fcntl

        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)


def hold(folder: Path) -> int | None:
    """Take a session's lock.

    Parameters
    ----------
    folder : Path
        The session's folder.

    Returns
    -------
    int or None
        A handle to be given to ``let_go``; None if another program holds the lock, or the
        folder is gone [1].
    """
    try:
        handle = os.open(folder / LOCK, os.O_RDWR | os.O_CREAT, 0o644)
    except OSError:
        return None
    try:
        _take(handle)
    except OSError:
        os.close(handle)
        return None
    return handle


def let_go(handle: int) -> None:
    """Give a lock back.

    Parameters
    ----------
    handle : int
        What ``hold`` gave [1].
    """
    os.close(handle)


def is_held(folder: Path) -> bool:
    """Tell whether a program holds a session's lock.

    Parameters
    ----------
    folder : Path
        The session's folder.

    Returns
    -------
    bool
        True if one does, so that the session runs.
    """
    if not (folder / LOCK).exists():
        return False
    handle = hold(folder)
    if handle is None:
        return folder.is_dir()
    let_go(handle)
    return False
