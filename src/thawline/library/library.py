"""Open the library: find its folder, make it, bring it up to date, clear what a kill left."""

from __future__ import annotations

import os
import sys
from pathlib import Path

from thawline.errors import LibraryError
from thawline.library.catalogue import prepare
from thawline.library.handle import Library
from thawline.library.sweep import sweep

__all__ = ["Library", "default_folder", "open_library"]

CURE = "Choose a folder that is yours with --library or THAWLINE_LIBRARY."


def default_folder() -> Path:
    """Find the folder of the library where none is named.

    Returns
    -------
    Path
        What ``THAWLINE_LIBRARY`` says, or else the folder in which programs of this platform
        keep a person's data.
    """
    named = os.environ.get("THAWLINE_LIBRARY", "").strip()
    if named:
        return Path(named)
    if sys.platform == "win32":
        base = Path(os.environ.get("LOCALAPPDATA") or "~/AppData/Local")
    elif sys.platform == "darwin":
        base = Path("~/Library/Application Support")
    else:
        base = Path(os.environ.get("XDG_DATA_HOME") or "~/.local/share")
    return base / "thawline"


def open_library(path: Path | None = None) -> Library:
    """Open a library; make it if there is none.

    Parameters
    ----------
    path : Path, optional
        Its folder. By default ``THAWLINE_LIBRARY`` says, or else it is the folder in which
        programs of this platform keep a person's data.

    Returns
    -------
    Library
        The handle that every other function takes.

    Raises
    ------
    LibraryError
        If the folder cannot be made or written, or the catalogue is damaged or was made by a
        newer version.
    """
    try:
        folder = (path if path is not None else default_folder()).expanduser().absolute()
    except RuntimeError as error:
        raise LibraryError(f"the home folder of this account cannot be found. {CURE}") from error
    library = Library(folder)
    try:
        for needed in (folder, library.recordings, library.incoming):
            needed.mkdir(parents=True, exist_ok=True)
    except (FileExistsError, NotADirectoryError) as error:
        raise LibraryError(
            f"the library {folder} cannot be made: {error.filename} is a file, not a folder. {CURE}"
        ) from error
    except (OSError, ValueError) as error:
        reason = getattr(error, "strerror", None) or error
        raise LibraryError(f"the library {folder} cannot be made: {reason}. {CURE}") from error
    if not all(os.access(held, os.W_OK | os.X_OK) for held in (folder, library.recordings)):
        raise LibraryError(f"the library {folder} cannot be written: permission denied. {CURE}")
    prepare(library)
    sweep(library)
    return library
