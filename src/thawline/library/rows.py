"""The catalogue's row for a recording."""

from __future__ import annotations

import sqlite3
from typing import Any

from thawline.library.stale import mark_stale

_INSERT = (
    "INSERT INTO recordings (id, content_key, folder, vehicle, starts_at, duration_s, frames, "
    "frames_left_out, channels, samples, added_at) VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)"
)


def printable(text: str) -> str:
    """Replace what no text file can hold, such as bytes of a file name in no known encoding.

    Parameters
    ----------
    text : str
        The text.

    Returns
    -------
    str
        The text that SQLite can hold.
    """
    return text.encode("utf-8", "replace").decode("utf-8").replace("\0", "�")


def insert(rows: sqlite3.Connection, folder: str, kept: dict[str, Any]) -> None:
    """Make a recording exist; what was found on later ones of its vehicle is to be told anew.

    Parameters
    ----------
    rows : sqlite3.Connection
        A connection inside a transaction.
    folder : str
        Name of the recording's folder.
    kept : dict of str to Any
        What ``recording.json`` holds.
    """
    told = kept["recording"]
    lengths = kept["samples"]["lengths"]
    rows.execute(
        _INSERT,
        (
            told["id"],
            kept["content_key"],
            folder,
            printable(told["vehicle"]["name"]),
            float(told["starts_at"]),
            float(told["duration_s"]),
            int(told["quality"]["frames"]),
            sum(int(count) for count in told["quality"]["frames_left_out"].values()),
            len(told["channels"]),
            sum(lengths[values] for _, values in kept["places"].values()),
            float(kept["added_at"]),
        ),
    )
    mark_stale(rows, printable(told["vehicle"]["name"]), float(told["starts_at"]))
