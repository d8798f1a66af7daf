"""What is done already, so that a run that broke off goes on where it was."""

from __future__ import annotations

import hashlib
import json
import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from thawline.errors import LibraryError
from thawline.trends.version import code_version

FILE = "done.sqlite"
#: Number of the layout of a row [1].
LAYOUT = 2


class Done:
    """Results by what they are made from.

    Parameters
    ----------
    rows : sqlite3.Connection
        The file.
    """

    def __init__(self, rows: sqlite3.Connection) -> None:
        self._rows = rows

    def key(self, stage: str, made_from: object) -> str:
        """Name a result by its stage, the code, and what it is made from.

        Parameters
        ----------
        stage : str
            The stage.
        made_from : object
            Sums of content and other plain values.

        Returns
        -------
        str
            A SHA-256 sum.
        """
        told = json.dumps([LAYOUT, code_version(), stage, made_from], sort_keys=True)
        return hashlib.sha256(told.encode()).hexdigest()

    def known(self, keys: Sequence[str]) -> dict[str, Any]:
        """Read results.

        Parameters
        ----------
        keys : sequence of str
            Their names.

        Returns
        -------
        dict of str to Any
            Those that are there.
        """
        found = self._rows.execute(
            "SELECT key, told FROM done WHERE key IN (SELECT value FROM json_each(?))",
            (json.dumps(list(keys)),),
        )
        return {key: json.loads(told) for key, told in found}

    def keep(self, key: str, text: str) -> Any:
        """Keep a result at once: a kill after this loses nothing of it.

        Parameters
        ----------
        key : str
            Its name.
        text : str
            Plain values, as JSON: workers write them so.

        Returns
        -------
        Any
            The values, the same as they will be read back.
        """
        self._rows.execute("INSERT OR REPLACE INTO done (key, told) VALUES (?, ?)", (key, text))
        return json.loads(text)


@contextmanager
def open_done(folder: Path) -> Iterator[Done]:
    """Open the file of what is done, or begin one.

    Parameters
    ----------
    folder : Path
        Folder of the results.

    Yields
    ------
    Done
        What is done.

    Raises
    ------
    LibraryError
        If the folder cannot be written or the file is damaged.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        rows = sqlite3.connect(folder / FILE, isolation_level=None, timeout=60.0)
    except (OSError, sqlite3.Error) as error:
        raise LibraryError(f"{folder} cannot be written: {error}. Choose another --out.") from error
    try:
        rows.execute("PRAGMA journal_mode = WAL")
        rows.execute("PRAGMA synchronous = NORMAL")
        rows.execute("CREATE TABLE IF NOT EXISTS done (key TEXT PRIMARY KEY, told TEXT NOT NULL)")
        yield Done(rows)
    except sqlite3.Error as error:
        raise LibraryError(
            f"{folder / FILE} cannot be used ({error}). Remove it: everything is made again."
        ) from error
    finally:
        rows.close()
