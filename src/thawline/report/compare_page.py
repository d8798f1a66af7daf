"""Two mornings side by side, as one page that works from a file, without a network."""

from __future__ import annotations

from thawline.compare.comparison import Comparison
from thawline.report.compare_charts import compare_charts
from thawline.report.compare_rows import side_facts, told_rows, told_turnings
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
    drawn, figures = compare_charts(found)
    return set_template(
        "compare.html",
        figures,
        title=title_of_comparison(found),
        found=found,
        facts={"A": side_facts(found.a), "B": side_facts(found.b)},
        charts=drawn,
        groups=told_rows(found),
        turnings=told_turnings(found),
    )


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
