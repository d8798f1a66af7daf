"""A plan as one page without a network."""

from __future__ import annotations

from typing import Any

from thawline.plan.plan import Plan
from thawline.report.plan_charts import draw_plan
from thawline.report.plan_options import WEAR_SOURCE, cheaper_words, options_table
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
from thawline.report.templating import set_template


def told_of_plan(plan: Plan) -> dict[str, Any]:
    """Gather what a page tells of a plan, its charts aside.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    dict
        Words for the template ``plan_parts.html``.
    """
    return {
        "title": f"{plan.vehicle}: ready at "
        + " and ".join(clock(plan, each.leave_s) for each in plan.chosen.ready),
        "answer": answer_of(plan),
        "is_possible": plan.is_possible,
        "promised": percent(plan.asked.chance),
        "nearest": plan.nearest,
        "steps": [step_words(plan, step) for step in plan.steps],
        "readiness": [
            (f"Ready at {clock(plan, ready.leave_s)}: all wishes {percent(ready.together)}",
             ready_words(plan, ready))
            for ready in plan.chosen.ready
        ],
        "binding": plan.binding,
        "wish_costs": wish_cost_words(plan),
        "table": options_table(plan),
        "cheaper": cheaper_words(plan),
        "wear_source": WEAR_SOURCE,
        "rule": plan.asked.supply.rule,
        "plan_cautions": PLAN_CAUTIONS,
        "found": found_words(plan),
        "assumes": plan.assumes,
    }  # fmt: skip


def plan_page(plan: Plan) -> str:
    """Write the page of a plan.

    Parameters
    ----------
    plan : Plan
        The plan.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.
    """
    plots, figures = draw_plan(plan)
    facts = f"planned at {clock(plan, plan.asked.now_s)}"
    return set_template("plan.html", figures, plots=plots, facts=facts, **told_of_plan(plan))
