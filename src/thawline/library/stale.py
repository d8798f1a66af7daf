"""Mark what was found beside earlier recordings once those are others than they were."""

from __future__ import annotations

import sqlite3

#: The part of the figures that depends on earlier recordings of the vehicle.
BESIDE = "$.findings"


def mark_stale(rows: sqlite3.Connection, vehicle: str, starts_at: float) -> None:
    """Forget what was found beside earlier recordings, of those that began after a moment.

    Their other figures depend on nothing but themselves and are kept; findings are told anew when
    somebody asks.

    Parameters
    ----------
    rows : sqlite3.Connection
        A connection inside a transaction.
    vehicle : str
        The vehicle of which a recording came or went; upper and lower case count as the same.
    starts_at : float
        When that recording began, since 1970-01-01 UTC [s].
    """
    later = rows.execute("SELECT id, vehicle FROM recordings WHERE starts_at > ?", (starts_at,))
    sought = vehicle.casefold()
    names = [(str(row["id"]),) for row in later if str(row["vehicle"]).casefold() == sought]
    rows.executemany(
        f"UPDATE figures SET told = json_set(told, '{BESIDE}', json('null')), findings = '' "
        f"WHERE recording_id = ? AND json_valid(told)",
        names,
    )
