"""Read decoded channels from MDF."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from thawline.errors import SourceError
from thawline.sources.cells import MOST_STATES, read_cells, read_states
from thawline.sources.headings import Columns
from thawline.sources.mdf import opened, quiet, starts_at
from thawline.sources.mdf_labels import physical_and_labels
from thawline.sources.mdf_soundness import check_lengths
from thawline.sources.table import Column, Table

if TYPE_CHECKING:
    from asammdf import MDF

#: What a master channel counts: nothing in particular, or time (ASAM MDF 4.1, block CN).
CLOCKS = (0, 1)


def read_mdf_table(path: Path, *, progress: Callable[[int, int], None] | None = None) -> Table:
    """Read the decoded channels of an MDF file, each group on its own clock.

    Parameters
    ----------
    path : Path
        The file.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Returns
    -------
    Table
        The channels by name. A name that several groups use stands once by itself and else
        as ``Group.Channel``; each is found as ``Group.Channel`` in any case.

    Raises
    ------
    SourceError
        If the file is broken or cut off, or holds no samples.
    """
    total = path.stat().st_size
    columns: dict[str, Column] = {}
    other_names: dict[str, tuple[str, ...]] = {}
    warnings: list[str] = []
    rows = unreadable = 0
    with opened(path) as mdf:
        start, epoch = starts_at(mdf)
        group: Any  # the parser has a class of groups for each version of the format
        for index, group in enumerate(mdf.groups):
            master = mdf.masters_db.get(index)
            if master is None or not _is_clock(group.channels[master]):
                continue
            check_lengths(mdf, index)
            group_rows = 0
            for number, channel in enumerate(group.channels):
                if number == master:
                    continue
                try:
                    column, dropped = _column(mdf, index, number)
                except _NotReadError as error:
                    warnings.append(f"the channel {channel.name!r} {error} and is not read")
                    continue
                if not len(column.t):
                    continue
                unreadable = max(unreadable, dropped)
                group_rows = max(group_rows, len(column.t))
                names = _names(group, channel)
                heading = next((n for n in (channel.name, *names) if n not in columns), None)
                if heading is None:
                    heading = f"{channel.name} #{index}"
                columns[heading] = replace(column, t=column.t + start)
                other_names[heading] = names
            rows += group_rows
            if progress is not None:
                progress(total * (index + 1) // len(mdf.groups), total)
    if not columns:
        raise SourceError(
            "the file holds no samples: no bus frames, and no channel with values",
            file=path,
            cure="Record or export it again",
        )
    left_out = {"unreadable time": unreadable} if unreadable else {}
    return Table(Columns(columns, other_names), epoch, rows, left_out, tuple(warnings))


class _NotReadError(Exception):
    """A channel of a kind that is not read; says which."""


def _is_clock(channel: Any) -> bool:
    return getattr(channel, "sync_type", CLOCKS[-1]) in CLOCKS


def _column(mdf: MDF, group: int, channel: int) -> tuple[Column, int]:
    """Read one channel; say how many samples have no time."""
    with quiet():
        signal = mdf.get(group=group, index=channel, raw=True)
    raw: NDArray[Any] = signal.samples
    t = np.asarray(signal.timestamps, dtype=np.float64)
    if raw.ndim != 1 or raw.dtype.names:
        raise _NotReadError("is an array or a structure")
    if raw.dtype.kind in "SUO":
        values, labels = _words(raw)
    elif raw.dtype.kind in "iufb":
        values, labels = physical_and_labels(raw, signal.conversion)
    else:
        raise _NotReadError(f"is of type {raw.dtype}")
    invalid = signal.invalidation_bits
    if invalid is not None:
        values = np.where(np.asarray(invalid, dtype=bool), np.nan, values)
    values = np.where(np.isfinite(values), values, np.nan)
    timed = np.isfinite(t)
    if not timed.all():
        t, values = t[timed], values[timed]
    unit = (signal.unit or "").strip() or None
    return Column(t, values, unit, labels), int(np.count_nonzero(~timed))


def _words(raw: NDArray[Any]) -> tuple[NDArray[np.float64], dict[float, str]]:
    """Read a channel of text: numbers written as text, or states."""
    text = pl.Series(
        [
            (cell.decode("utf-8", errors="replace") if isinstance(cell, bytes) else str(cell))
            .split("\x00")[0]
            .strip()
            for cell in raw.tolist()
        ],
        dtype=pl.String,
    )
    cells = read_cells(text)
    if len(cells.words) == 0 or np.isfinite(cells.numbers).any():
        return cells.numbers, {}
    states = read_states(cells)
    if states is None:
        raise _NotReadError(f"holds text of more than {MOST_STATES} different words")
    return states


def _names(group: Any, channel: Any) -> tuple[str, ...]:
    """Give the names of a channel with its group, or its message, before it."""
    record = group.channel_group
    source = getattr(record, "acq_source", None)
    groups = (
        getattr(record, "acq_name", None),
        getattr(record, "comment", None),
        getattr(source, "name", None),
    )
    names = [f"{name}.{channel.name}" for name in groups if isinstance(name, str) and name]
    names += list(getattr(channel, "display_names", None) or {})
    return tuple(dict.fromkeys(names))
