"""What a vehicle's recordings taught of its cells, for a terminal."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Sequence

from thawline.charge.learned import Learned
from thawline.charge.learned_words import sentences
from thawline.plating.plating import CAUTION, KeptDistance, PlatingMap
from thawline.report.learned_tables import Table, learned_tables
from thawline.report.numbers import NO_BREAK, tied

#: Width of the page [columns].
WIDTH = 98


def learned_text(
    found: Learned,
    margin: PlatingMap | None = None,
    kept: Sequence[KeptDistance] = (),
    no_margin: str = "",
) -> str:
    """Set what was learned for a terminal.

    Parameters
    ----------
    found : Learned
        What was learned.
    margin : PlatingMap, optional
        The plating margin of a textbook cell.
    kept : sequence of KeptDistance
        Own charging on it, recording by recording.
    no_margin : str
        Why there is no margin, in plain words.

    Returns
    -------
    str
        Lines of at most a hundred columns, with a last line break.
    """
    count = len(found.recordings)
    lines = [
        f"{found.vehicle}: what its cells allow",
        f"From {count} recording{'' if count == 1 else 's'}.",
        "=" * WIDTH,
    ]
    for words in sentences(found):
        lines += ["", *_wrapped(words)]
    for table in learned_tables(found):
        lines += _table(table)
    lines += ["", "MARGIN TO LITHIUM PLATING, OF A TEXTBOOK CELL", ""]
    if margin is None:
        lines += _wrapped(no_margin or "Not computed.", "  ")
    else:
        lines += _wrapped(f"{margin.parameter_set}: {margin.paper}; {margin.model}.", "  ")
        for one in kept:
            lines += _wrapped(f"{one.recording_id}: {one.sentence}", "  ", "    ")
        lines += _wrapped(CAUTION, "  ")
    if found.lost:
        lines += ["", "WHAT COULD NOT BE LEARNED", ""]
        for words in found.lost:
            lines += _wrapped(f"- {words}", "  ", "    ")
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _wrapped(words: str, indent: str = "", further: str | None = None) -> list[str]:
    wrapped = textwrap.wrap(
        str(tied(words)),
        WIDTH,
        initial_indent=indent,
        subsequent_indent=indent if further is None else further,
        break_on_hyphens=False,
    )
    return [line.replace(NO_BREAK, " ") for line in wrapped]


def _table(table: Table) -> Iterable[str]:
    if not table.rows:
        return []
    columns = list(zip(table.heads, *table.rows, strict=True))
    widths = [max(len(cell) for cell in column) for column in columns]
    return [
        "",
        table.title.upper(),
        *(
            "  " + "   ".join(f"{cell:>{width}}" for cell, width in zip(row, widths, strict=True))
            for row in (table.heads, *table.rows)
        ),
    ]
