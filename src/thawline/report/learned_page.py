"""What a vehicle's recordings taught of its cells, as one page that works without a network."""

from __future__ import annotations

from collections.abc import Sequence

from thawline.charge.learned import Learned
from thawline.charge.learned_words import sentences
from thawline.plating.plating import CAUTION, KeptDistance, PlatingMap
from thawline.plating.rules import rules
from thawline.report.learned_plots import learned_plots
from thawline.report.learned_tables import learned_tables
from thawline.report.plating_plots import plating_plot
from thawline.report.plots import draw
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
    plots = learned_plots(found)
    drawn = {plot.key: draw(plot) for plot in plots}
    own = None
    if margin is not None:
        own = plating_plot(margin, kept)
        drawn[own.key] = draw(own)
    return set_template(
        "learned.html",
        drawn,
        title=f"{found.vehicle}: what its cells allow",
        found=found,
        sentences=sentences(found),
        plots=plots,
        tables=learned_tables(found),
        plating=own,
        margin=margin,
        kept=kept,
        no_margin=no_margin,
        rules=rules(),
        caution=CAUTION,
    )
