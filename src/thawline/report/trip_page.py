"""The page of a first trip: two stacked bars and a table."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from thawline.report.numbers import number
from thawline.report.plots import Layer, Plot, draw
from thawline.report.templating import set_template
from thawline.report.trip_shown import (
    PARTS,
    FirstTrip,
    began_words,
    shown_lines,
    trip_sentence,
    trip_table,
)

if TYPE_CHECKING:  # bokeh takes half a second to import: only pages with charts pay for it
    from bokeh.plotting import figure as Figure  # noqa: N812  # bokeh names a class in lower case

#: Height of the chart [px], opacity of its bars [1], half the thickness of a bar [1].
LOW, OPACITY, HALF = 230, 0.75, 0.32


def trip_plot(found: FirstTrip) -> Plot:
    """Describe the chart: two bars, each stacked of where the energy goes.

    Parameters
    ----------
    found : FirstTrip
        The two trips.

    Returns
    -------
    Plot
        Bars along the energy; what was gained, such as height lost, lies left of zero.
    """
    layers: list[Layer] = []
    reached = {0: [0.0, 0.0], 1: [0.0, 0.0]}  # row -> how far its bar reaches right and left
    sides = ((1, found.cold), (0, found.warmed))
    for line in shown_lines(found):
        label, colour = PARTS[line]
        course = f"{number(found.cold.lines[line].mean, 2)} and "
        course += f"{number(found.warmed.lines[line].mean, 2)} kWh"
        for row, trip in sides:
            kWh = trip.lines[line].mean
            side = 0 if kWh >= 0.0 else 1
            begin = reached[row][side]
            reached[row][side] = begin + kWh
            x = np.array(sorted((begin, begin + kWh)))
            is_first = row == 1
            layers.append(
                Layer("band", label if is_first else "", course if is_first else "", colour,
                      "solid", x, np.full(2, row - HALF), np.full(2, row + HALF))
            )  # fmt: skip
    layers.append(Layer("line", "", "", "ink", "solid", np.zeros(2), np.array([-0.5, 1.5])))
    caption = (
        "Mean over the cars that could be this one; above leaving cold, below leaving then. "
        "The legend names both figures in that order."
    )
    return Plot("first-trip", "Where the energy of the first trip goes", caption, "kWh", "",
                tuple(layers), with_zero=False)  # fmt: skip


def _draw(plot: Plot) -> Figure:
    from bokeh.models import FixedTicker

    chart = draw(plot)
    chart.height = LOW
    chart.yaxis.ticker = FixedTicker(ticks=[0.0, 1.0])
    chart.yaxis.major_label_overrides = {0: "then", 1: "cold"}
    chart.ygrid.visible = False
    for drawn in chart.renderers:
        glyph: Any = getattr(drawn, "glyph", None)
        if hasattr(glyph, "fill_alpha"):
            glyph.fill_alpha = OPACITY
    return chart


def trip_page(found: FirstTrip) -> str:
    """Write the page of a first trip.

    Parameters
    ----------
    found : FirstTrip
        The two trips.

    Returns
    -------
    str
        One HTML document with its styles, scripts and data in it.
    """
    plot = trip_plot(found)
    minutes = number(found.leave_s / 60.0, 0)
    return set_template(
        "trip.html",
        {plot.key: _draw(plot)},
        title=f"The first trip: leaving cold, or after {minutes} min",
        facts=found.recording_id,
        road=f"{found.cold.trace.name}, {number(found.cold.km, 1)} km",
        sentence=trip_sentence(found),
        began=(("Leaving cold", began_words(found.cold.begin)),
               ("Leaving then", began_words(found.warmed.begin))),
        plots=[plot],
        table=trip_table(found),
        assumes=found.assumes,
    )  # fmt: skip
