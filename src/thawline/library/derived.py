"""Figures derived from recordings: one table, to list by and to spare a second look.

Nothing in it is the only copy of anything; a row that another version made counts as none.
"""

from __future__ import annotations

import json
from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import Any

from thawline.library.catalogue import reading, writing
from thawline.library.handle import Library

_KEEP = (
    "INSERT OR REPLACE INTO figures (recording_id, made_by, told, outside_degC, supply_kW, "
    "plugged_in, findings) SELECT ?, ?, ?, ?, ?, ?, ? "
    "WHERE EXISTS (SELECT 1 FROM recordings WHERE id = ?)"
)


@dataclass(frozen=True, slots=True)
class Derived:
    """What is derived from one recording.

    Parameters
    ----------
    recording_id : str
        The recording.
    told : mapping of str to Any
        All figures, as JSON has them.
    outside_degC : float or None
        Mean of the air outside [degC].
    supply_kW : float or None
        Most that the supply gave; None where it is not known [kW].
    plugged_in : bool
        Whether the car was plugged in.
    findings : tuple of str
        Kinds of what was found.
    """

    recording_id: str
    told: Mapping[str, Any]
    outside_degC: float | None
    supply_kW: float | None
    plugged_in: bool
    findings: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Wanted:
    """What a recording must be like to be listed.

    Parameters
    ----------
    outside_degC : tuple of (float or None, float or None)
        The least and the greatest mean of the air outside [degC].
    supply_kW : tuple of (float or None, float or None)
        The least and the greatest of what the supply gave at most [kW].
    plugged_in : bool or None
        Whether the car was plugged in; None: either.
    findings : tuple of str or None
        Kinds of which it has one; an empty tuple: any kind; None: with or without.
    """

    outside_degC: tuple[float | None, float | None] = (None, None)
    supply_kW: tuple[float | None, float | None] = (None, None)
    plugged_in: bool | None = None
    findings: tuple[str, ...] | None = None

    @property
    def is_any(self) -> bool:
        """Whether every recording fits."""
        return self == Wanted()


def _clauses(wanted: Wanted) -> tuple[str, list[object]]:
    """Put what is wanted into SQL; a figure that is not known fits no range."""
    parts, values = ["made_by = ?"], list[object]()
    for column, (low, high) in (
        ("outside_degC", wanted.outside_degC),
        ("supply_kW", wanted.supply_kW),
    ):
        for sign, bound in ((">=", low), ("<=", high)):
            if bound is not None:
                parts.append(f"{column} {sign} ?")
                values.append(bound)
    if wanted.plugged_in is not None:
        parts.append("plugged_in = ?")
        values.append(int(wanted.plugged_in))
    if wanted.findings == ():
        parts.append("findings <> ''")
    elif wanted.findings is not None:
        parts.append("(" + " OR ".join(["instr(findings, ?)"] * len(wanted.findings)) + ")")
        values += [f" {kind} " for kind in wanted.findings]
    return " AND ".join(parts), values


def derived(
    library: Library,
    made_by: str,
    vehicle: str | None = None,
    names: Collection[str] | None = None,
) -> dict[str, Derived]:
    """Read what was derived.

    Parameters
    ----------
    library : Library
        The library.
    made_by : str
        The version of the code that must have made it.
    vehicle : str, optional
        Only those of this vehicle; upper and lower case count as the same.
    names : collection of str, optional
        Only these recordings.

    Returns
    -------
    dict of str to Derived
        By name of the recording, in order of their start.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    query = (
        "SELECT figures.*, recordings.vehicle AS vehicle FROM figures JOIN recordings "
        "ON recordings.id = recording_id WHERE made_by = ? "
    )
    values = [made_by]
    if names is not None:
        query += "AND recording_id IN (SELECT value FROM json_each(?)) "
        values.append(json.dumps(list(names)))
    with reading(library) as rows:
        found = rows.execute(query + "ORDER BY starts_at, recording_id", values).fetchall()
    sought = None if vehicle is None else vehicle.strip().casefold()
    return {
        row["recording_id"]: Derived(
            row["recording_id"],
            json.loads(row["told"]),
            row["outside_degC"],
            row["supply_kW"],
            bool(row["plugged_in"]),
            tuple(row["findings"].split()),
        )
        for row in found
        if sought is None or row["vehicle"].casefold() == sought
    }


def derived_like(library: Library, made_by: str, wanted: Wanted) -> dict[str, Derived]:
    """Find the recordings that are like what is wanted, without all of their figures.

    Parameters
    ----------
    library : Library
        The library.
    made_by : str
        The version of the code that must have made the figures.
    wanted : Wanted
        What the recordings must be like.

    Returns
    -------
    dict of str to Derived
        By name of the recording, ``told`` left empty.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    where, values = _clauses(wanted)
    query = (
        "SELECT recording_id, outside_degC, supply_kW, plugged_in, findings FROM figures "
        f"WHERE {where}"
    )
    with reading(library) as rows:
        found = rows.execute(query, (made_by, *values)).fetchall()
    return {
        row["recording_id"]: Derived(
            row["recording_id"],
            {},
            row["outside_degC"],
            row["supply_kW"],
            bool(row["plugged_in"]),
            tuple(row["findings"].split()),
        )
        for row in found
    }


def derived_with(library: Library, made_by: str, part: str) -> set[str]:
    """Name the recordings of which a part of the figures is known, without reading them.

    Parameters
    ----------
    library : Library
        The library.
    made_by : str
        The version of the code that must have made them.
    part : str
        A key of ``told``.

    Returns
    -------
    set of str
        Recordings in which it is there and not null.

    Raises
    ------
    LibraryError
        If the catalogue cannot be read.
    """
    query = (
        "SELECT recording_id FROM figures WHERE made_by = ? AND json_valid(told) "
        "AND json_type(told, ?) <> 'null'"
    )
    with reading(library) as rows:
        return {str(row["recording_id"]) for row in rows.execute(query, (made_by, f"$.{part}"))}


def keep_derived(library: Library, made_by: str, many: Iterable[Derived]) -> None:
    """Keep what was derived; a recording that is gone meanwhile is passed over.

    Parameters
    ----------
    library : Library
        The library.
    made_by : str
        The version of the code that made it.
    many : iterable of Derived
        What was derived.

    Raises
    ------
    LibraryError
        If the catalogue cannot be written.
    """
    rows_kept = [
        (
            one.recording_id,
            made_by,
            json.dumps(one.told, allow_nan=False),
            one.outside_degC,
            one.supply_kW,
            int(one.plugged_in),
            f" {' '.join(one.findings)} " if one.findings else "",
            one.recording_id,
        )
        for one in many
    ]
    with writing(library) as rows:
        rows.executemany(_KEEP, rows_kept)
