"""Make a table's columns from cells that were read and the times that belong to them."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path

import numpy as np

from thawline.errors import SourceError
from thawline.sources.cells import MOST_STATES, Cells, read_states
from thawline.sources.headings import Columns, split_heading
from thawline.sources.table import Column, Table
from thawline.sources.time_cells import Times


def make_table(
    cells: Mapping[str, Cells],
    units: Mapping[str, str | None],
    times: Times,
    time_headings: Sequence[str],
    left_out: Mapping[str, int],
    path: Path,
) -> Table:
    """Make a table of columns that share one clock.

    Parameters
    ----------
    cells : mapping of str to Cells
        The columns by heading.
    units : mapping of str to str or None
        Units that stand apart from the headings, by heading.
    times : Times
        The clock; rows without a time are left out.
    time_headings : sequence of str
        Headings that make up the clock.
    left_out : mapping of str to int
        Rows already left out, by reason [1].
    path : Path
        The file, for messages.

    Returns
    -------
    Table
        The columns that hold numbers or states.

    Raises
    ------
    SourceError
        If no row has a time, or nothing beside the time is a number or a state.
    """
    timed = np.isfinite(times.t)
    rows = int(np.count_nonzero(timed))
    t = times.t if rows == len(timed) else times.t[timed]
    warnings, columns = list(times.warnings), {}
    for heading, column in cells.items():
        if heading in time_headings:
            continue
        values = column.numbers
        labels: dict[float, str] = {}
        if len(column.words) and not np.isfinite(values).any():
            states = read_states(column)
            if states is None:
                warnings.append(
                    f"the column {heading!r} holds text ({column.words.n_unique()} different "
                    f"words, states have up to {MOST_STATES}) and is not read"
                )
                continue
            values, labels = states
        elif len(column.words):
            warnings.append(
                f"cells of the column {heading!r} that are no numbers count as empty: "
                f"{len(column.words)}, such as {column.words[0]!r}"
            )
        if not np.isfinite(values).any():
            continue
        unit = split_heading(heading)[1] or (units.get(heading) or "").strip("[]() ") or None
        columns[heading] = Column(t, values if rows == len(timed) else values[timed], unit, labels)
    if not columns:
        raise SourceError(
            "no column beside the time holds numbers or states",
            file=path,
            cure="Export it again with the values that the vehicle file asks for",
        )
    reasons = {**left_out, "unreadable time": len(timed) - rows}
    return Table(
        columns=Columns(columns),
        is_epoch=times.is_epoch,
        rows=rows,
        left_out={reason: count for reason, count in reasons.items() if count},
        warnings=tuple(warnings),
    )
