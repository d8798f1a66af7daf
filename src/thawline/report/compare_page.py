"""Two mornings side by side, as one page that works from a file, without a network."""

from __future__ import annotations

from typing import Any

from thawline.compare.comparison import Comparison
from thawline.report.choice import USUAL, Choice
from thawline.report.chosen import told_in
from thawline.report.compare_charts import compare_charts
from thawline.report.compare_rows import side_facts, told_charged, told_rows, told_turnings
from thawline.report.templating import set_template


def compare_page(found: Comparison) -> str:
    """Write the page of a comparison.

    Parameters
    ----------
    found : Comparison
        The comparison.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.
    """
    words, figures = told_of_comparison(found)
    return set_template("compare.html", figures, **words)


def told_of_comparison(
    found: Comparison, choice: Choice = USUAL
) -> tuple[dict[str, Any], dict[str, Any]]:
    """Gather what a page tells of a comparison, and its charts.

    Parameters
    ----------
    found : Comparison
        The comparison.
    choice : Choice
        Units of tables and charts; sentences are converted where they are set.

    Returns
    -------
    words, figures : dict
        What the template takes, and charts by name.
    """
    drawn, figures = compare_charts(found, choice)
    groups = told_rows(found).items()
    words = {
        "title": title_of_comparison(found),
        "found": found,
        "facts": {"A": side_facts(found.a), "B": side_facts(found.b)},
        "charts": drawn,
        "groups": {name: [told_in(row, choice) for row in rows] for name, rows in groups},
        "turnings": told_turnings(found),
        "shares": [told_in(row, choice) for row in told_charged(found)],
    }
    return words, figures


def title_of_comparison(found: Comparison) -> str:
    """Give a comparison its title.

    Parameters
    ----------
    found : Comparison
        The comparison.

    Returns
    -------
    str
        Such as ``Gannet: two mornings``.
    """
    if found.a.vehicle == found.b.vehicle:
        return f"{found.a.vehicle}: two mornings"
    return f"{found.a.vehicle} and {found.b.vehicle}"
