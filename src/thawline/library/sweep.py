"""Clear what a kill or a lost catalogue left behind."""

from __future__ import annotations

import shutil
import sqlite3
from contextlib import suppress
from pathlib import Path

from thawline.errors import LibraryError
from thawline.library.catalogue import reading, writing
from thawline.library.folder import UNSETTLED, discard, read_document, settle
from thawline.library.handle import Library
from thawline.library.rows import insert


def _known(rows: sqlite3.Connection) -> set[str]:
    return {str(row["folder"]) for row in rows.execute("SELECT folder FROM recordings")}


def _unclear(library: Library, known: set[str]) -> list[Path]:
    """List the folders of which catalogue and disk do not tell the same."""
    folders = [folder for folder in library.recordings.iterdir() if folder.is_dir()]
    return [f for f in folders if f.name not in known or (f / UNSETTLED).exists()]


def _adopt(rows: sqlite3.Connection, folder: Path) -> None:
    """Take a folder that stands for itself into the catalogue, if it can be read."""
    try:
        insert(rows, folder.name, read_document(folder))
    except (LibraryError, sqlite3.IntegrityError, KeyError, TypeError, ValueError, IndexError):
        return  # it is left as it is: nothing that a person may still want is ever deleted


def sweep(library: Library) -> None:
    """Bring folders and catalogue together.

    What was half added or half removed is deleted. Whole recordings that the catalogue does not
    know (it was lost, or an older one was put back) are taken into it. Nothing is done while
    another program is adding; whatever it leaves is for the next opening.

    Parameters
    ----------
    library : Library
        The library.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    with reading(library) as rows:
        known = _known(rows)
    if not any(library.incoming.iterdir()) and not _unclear(library, known):
        return
    try:
        with writing(library, wait_s=0.0) as rows:
            known = _known(rows)
            for leftover in library.incoming.iterdir():
                if leftover.is_dir():
                    shutil.rmtree(leftover, ignore_errors=True)
                else:  # samples put aside; where another program reads on, they are held open
                    with suppress(OSError):
                        leftover.unlink()
            for folder in _unclear(library, known):
                if folder.name in known:
                    settle(folder)
                elif (folder / UNSETTLED).exists():
                    discard(library, folder)
                else:
                    _adopt(rows, folder)
    except LibraryError:  # another program is adding, or the disk is full: it can wait
        return
