"""The SQLite catalogue: connections, transactions, and its layout with the way up to it."""

from __future__ import annotations

import sqlite3
import time
from collections.abc import Iterator
from contextlib import contextmanager
from functools import cache
from importlib.resources import files

from thawline.errors import LibraryError
from thawline.library.handle import Library

#: Marks an SQLite file as a catalogue of ours ("Thaw" in ASCII) [1].
APPLICATION_ID = 0x54686177
#: How long to wait for another program that is writing [s].
WAIT_S = 60.0
#: Pause before asking again for what SQLite refuses at once instead of waiting [s].
PAUSE_S = 0.02

DAMAGED_CURE = (
    "move catalogue.sqlite and the files whose names begin so out of the folder: the next "
    "command makes the catalogue anew from the recordings (notes are lost)"
)


@cache
def _steps() -> tuple[str, ...]:
    """Read the scripts that lead from an empty file to the newest layout, in order."""
    folder = files("thawline.library").joinpath("schema")
    scripts = sorted((f for f in folder.iterdir() if f.name.endswith(".sql")), key=lambda f: f.name)
    return tuple(script.read_text("utf-8") for script in scripts)


def layout_known() -> int:
    """Tell the newest layout of the catalogue that this version knows.

    Returns
    -------
    int
        Its number.
    """
    return len(_steps())


def _explained(library: Library, error: sqlite3.Error) -> LibraryError:
    code = getattr(error, "sqlite_errorcode", sqlite3.SQLITE_ERROR) & 0xFF
    at = f"the library {library.folder}"
    if code in (sqlite3.SQLITE_BUSY, sqlite3.SQLITE_LOCKED):
        return LibraryError(
            f"{at} is in use by another program, which does not let go of it. Let it finish, then "
            "ask again."
        )
    if code == sqlite3.SQLITE_FULL:
        return LibraryError(
            f"{at} cannot be written: the disk is full. Nothing was changed. Make room, then "
            "ask again."
        )
    if code in (sqlite3.SQLITE_READONLY, sqlite3.SQLITE_CANTOPEN, sqlite3.SQLITE_PERM):
        return LibraryError(
            f"{at} cannot be written ({error}). Choose a folder that is yours with --library "
            "or THAWLINE_LIBRARY."
        )
    if code in (sqlite3.SQLITE_CORRUPT, sqlite3.SQLITE_NOTADB, sqlite3.SQLITE_ERROR):
        return LibraryError(
            f"the catalogue of {at} is damaged ({error}). To mend it, {DAMAGED_CURE}."
        )
    return LibraryError(f"{at} cannot be used: {error}.")


@contextmanager
def _connected(library: Library, mode: str, wait_s: float) -> Iterator[sqlite3.Connection]:
    try:
        rows = sqlite3.connect(
            f"{library.catalogue.as_uri()}?mode={mode}",
            uri=True,
            timeout=wait_s,
            isolation_level=None,
        )
        try:
            rows.row_factory = sqlite3.Row
            rows.execute("PRAGMA foreign_keys = ON")
            yield rows
        finally:
            rows.close()
    except sqlite3.Error as error:
        raise _explained(library, error) from error


@contextmanager
def reading(library: Library) -> Iterator[sqlite3.Connection]:
    """Read from the catalogue; other programs may write meanwhile.

    Parameters
    ----------
    library : Library
        The library.

    Yields
    ------
    sqlite3.Connection
        A connection that sees one state of the catalogue.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    with _connected(library, "rw", WAIT_S) as rows:
        rows.execute("BEGIN")
        yield rows
        rows.execute("COMMIT")


@contextmanager
def writing(library: Library, wait_s: float = WAIT_S) -> Iterator[sqlite3.Connection]:
    """Write to the catalogue: all of it if the block ends well, else nothing.

    Only one program at a time is in such a block.

    Parameters
    ----------
    library : Library
        The library.
    wait_s : float
        How long to wait for another program that is writing [s].

    Yields
    ------
    sqlite3.Connection
        A connection inside a transaction.

    Raises
    ------
    LibraryError
        If the catalogue cannot be written.
    """
    with _connected(library, "rw", wait_s) as rows:
        rows.execute("BEGIN IMMEDIATE")
        try:
            yield rows
            rows.execute("COMMIT")
        except BaseException:
            if rows.in_transaction:
                rows.execute("ROLLBACK")
            raise


def _statements(script: str) -> Iterator[str]:
    statement = ""
    for line in script.splitlines(keepends=True):
        statement += line
        if sqlite3.complete_statement(statement):
            yield statement
            statement = ""


def _layout(library: Library, rows: sqlite3.Connection) -> int:
    """Read the catalogue's layout number and refuse what is not ours or too new."""
    number = int(rows.execute("PRAGMA user_version").fetchone()[0])
    owner = int(rows.execute("PRAGMA application_id").fetchone()[0])
    tables = int(rows.execute("SELECT count(*) FROM sqlite_schema").fetchone()[0])
    if owner != APPLICATION_ID and (owner or number or tables):
        raise LibraryError(
            f"{library.catalogue} belongs to another program. Choose another folder with "
            "--library or THAWLINE_LIBRARY."
        )
    if number > layout_known():
        raise LibraryError(
            f"the library {library.folder} was made by a newer version of Thawline (its layout "
            f"is {number}, this version knows up to {layout_known()}). Bring Thawline up to "
            "date, or choose another folder with --library or THAWLINE_LIBRARY."
        )
    return number


def _write_ahead(rows: sqlite3.Connection) -> None:
    """Switch to write-ahead logging, in which readers do not wait for the writer."""
    until = time.monotonic() + WAIT_S
    while True:
        try:
            rows.execute("PRAGMA journal_mode = WAL")
            return
        except sqlite3.OperationalError:  # refused at once while another program does the same
            if time.monotonic() > until:
                raise
            time.sleep(PAUSE_S)


def prepare(library: Library) -> None:
    """Make the catalogue, or bring an older one to the newest layout.

    Parameters
    ----------
    library : Library
        The library, whose folder exists.

    Raises
    ------
    LibraryError
        If it cannot be written, is damaged, belongs to another program, or has a newer layout.
    """
    with _connected(library, "rwc", WAIT_S) as rows:
        if _layout(library, rows) == layout_known():
            return
        _write_ahead(rows)
    with writing(library) as rows:
        for number in range(_layout(library, rows), layout_known()):
            for statement in _statements(_steps()[number]):
                rows.execute(statement)
            rows.execute(f"PRAGMA user_version = {number + 1}")
        rows.execute(f"PRAGMA application_id = {APPLICATION_ID}")
