"""A plan for a terminal."""

from __future__ import annotations

import textwrap

from thawline.plan.plan import Plan
from thawline.report.learned_tables import Table
from thawline.report.plan_options import cheaper_words, options_table
from thawline.report.plan_words import (
    PLAN_CAUTIONS,
    answer_of,
    clock,
    found_words,
    percent,
    ready_words,
    step_words,
    wish_cost_words,
)

#: Width of the page [columns].
WIDTH = 98


def plan_text(plan: Plan) -> str:
    """Set a plan for a terminal.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    str
        Lines of at most a hundred columns.
    """
    lines = _wrapped(f"{plan.vehicle}: {answer_of(plan)}")
    if not plan.is_possible:
        lines += ["", *_wrapped(f"Not all wishes can be met with {percent(plan.asked.chance)}.")]
        if plan.nearest is not None:
            lines += ["The nearest that can be done:", *_list(plan.nearest.can)]
            lines += ["What would make it possible:" if plan.nearest.cures else
                      "Nothing that was tried makes it possible: lower a wish.",
                      *_list(plan.nearest.cures)]  # fmt: skip
    lines += ["", "What to do", *_list(tuple(step_words(plan, step) for step in plan.steps))]
    for ready in plan.chosen.ready:
        at = clock(plan, ready.leave_s)
        lines += ["", f"Ready at {at}: all wishes {percent(ready.together)}"]
        lines += _list(tuple(ready_words(plan, ready)))
    if plan.binding:
        lines += ["", "What binds", *_list(plan.binding)]
    if plan.wish_costs:
        lines += ["", "What the wishes cost", *_list(tuple(wish_cost_words(plan)))]
    lines += ["", *_table(options_table(plan)), "", *_wrapped(cheaper_words(plan))]
    lines += ["", "It takes for granted", *_list(plan.assumes)]
    lines += ["", *_wrapped(found_words(plan)), "", *_wrapped(plan.asked.supply.rule)]
    for words in PLAN_CAUTIONS:
        lines += _wrapped(words)
    return "\n".join(lines)


def _wrapped(text: str, first: str = "", later: str = "") -> list[str]:
    return textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=later, break_on_hyphens=False
    )


def _list(sentences: tuple[str, ...]) -> list[str]:
    return [line for words in sentences for line in _wrapped(words, "  - ", "    ")]


def _said(head: str, cell: str) -> str:
    """Put a unit from the head behind its figure."""
    name, _, unit = head.partition(", ")
    return f"{name} {cell} {unit}".rstrip()


def _table(table: Table) -> list[str]:
    """Set each way as a line of name and figures, with what is longer below."""
    lines = [table.title]
    for row in table.rows:
        cells = [_said(head, cell) for head, cell in zip(table.heads[1:], row[1:], strict=True)
                 if cell]  # fmt: skip
        lines += _wrapped(f"{row[0]}: {'; '.join(cells)}", "  - ", "    ")
    return lines
