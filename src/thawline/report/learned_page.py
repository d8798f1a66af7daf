"""What a vehicle's recordings taught of its cells, as one page that works without a network."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

from thawline.charge.learned import Learned
from thawline.charge.learned_words import sentences
from thawline.plating.plating import CAUTION, KeptDistance, PlatingMap
from thawline.plating.rules import rules
from thawline.report.choice import USUAL, Choice
from thawline.report.chosen import plot_in, table_in
from thawline.report.learned_plots import learned_plots
from thawline.report.learned_tables import learned_tables
from thawline.report.plating_plots import plating_plot
from thawline.report.plots import Plot, draw
from thawline.report.templating import set_template


def learned_page(
    found: Learned,
    margin: PlatingMap | None = None,
    kept: Sequence[KeptDistance] = (),
    no_margin: str = "",
) -> str:
    """Write the page of what was learned.

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
        One HTML document with its styles, scripts and data in it.
    """
    words, plots = told_of_learned(found, margin, kept, no_margin)
    return set_template("learned.html", {plot.key: draw(plot) for plot in plots}, **words)


def told_of_learned(
    found: Learned,
    margin: PlatingMap | None = None,
    kept: Sequence[KeptDistance] = (),
    no_margin: str = "",
    choice: Choice = USUAL,
) -> tuple[dict[str, Any], list[Plot]]:
    """Gather what a page tells of what was learned, and its charts.

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
    choice : Choice
        Units of tables and charts; sentences are converted where they are set.

    Returns
    -------
    words : dict
        What the template takes.
    plots : list of Plot
        All charts.
    """
    plots = [plot_in(plot, choice) for plot in learned_plots(found)]
    own = None if margin is None else plot_in(plating_plot(margin, kept), choice)
    words = {
        "title": f"{found.vehicle}: what its cells allow",
        "found": found,
        "sentences": sentences(found),
        "plots": plots,
        "tables": [table_in(table, choice) for table in learned_tables(found)],
        "plating": own,
        "margin": margin,
        "kept": kept,
        "no_margin": no_margin,
        "rules": rules(),
        "caution": CAUTION,
    }
    return words, plots if own is None else [*plots, own]
