"""Two mornings side by side, for a terminal."""

from __future__ import annotations

import textwrap

from thawline.compare.comparison import Comparison
from thawline.report.compare_page import title_of_comparison
from thawline.report.compare_rows import Told, side_facts, told_rows, told_turnings
from thawline.report.numbers import NO_BREAK, tied

#: Width of the page, of names, and of each value [columns].
WIDTH, NAME, VALUE = 98, 40, 16


def compare_text(found: Comparison) -> str:
    """Set a comparison for a terminal.

    Parameters
    ----------
    found : Comparison
        The comparison.

    Returns
    -------
    str
        Lines of at most a hundred columns, with a last line break.
    """
    lines = [title_of_comparison(found)]
    lines += [
        f"{side.label}  {side.recording_id}: {'; '.join(side_facts(side))}"
        for side in (found.a, found.b)
    ]
    lines += ["=" * WIDTH, ""]
    for sentence in found.sentences:
        lines += _wrapped(sentence)
    lines += _table("Minutes to each turning point", told_turnings(found))
    for group, rows in told_rows(found).items():
        lines += _table(group, rows)
    lines += ["", "* differs by more than its uncertainty. Differences are B less A."]
    if found.per_kWh is not None:
        lines.append(f"Cost: the supply's energy at {found.per_kWh:g} per kWh.")
    return "\n".join(line.rstrip() for line in lines) + "\n"


def _wrapped(sentence: str) -> list[str]:
    wrapped = textwrap.wrap(
        str(tied(sentence)), WIDTH, subsequent_indent="  ", break_on_hyphens=False
    )
    return [line.replace(NO_BREAK, " ") for line in wrapped]


def _table(title: str, rows: list[Told]) -> list[str]:
    if not rows:
        return []
    head = f"{title.upper():<{NAME}}{'A':>{VALUE}}{'B':>{VALUE}}{'B less A':>{VALUE}}"
    lines = ["", head]
    for row in rows:
        name = f"  {row.title}" + (f", {row.unit}" if row.unit and row.unit != "min" else "")
        mark = " *" if row.differs else ""
        lines.append(
            f"{name:<{NAME}}{row.a:>{VALUE}}{row.b:>{VALUE}}{row.difference:>{VALUE}}{mark}"
        )
    return lines
