"""The charts of a recording as one document that a script asks for."""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from starlette.requests import Request

from thawline.report.chosen import chart_in
from thawline.report.palette import palette
from thawline.report.panels import drawn_of
from thawline.report.templating import embedded_data
from thawline.web.desk import choice_of, words_in
from thawline.web.held import Held

#: What the axes of the time are tagged with, so that the page's script writes their ticks.
CLOCK, HOURS = "clock", "hours"


def charts_in(request: Request, held: Held) -> str:
    """Draw the charts of a recording for a page that has the charting library.

    Parameters
    ----------
    request : Request
        The request, which knows the units.
    held : Held
        The explained recording.

    Returns
    -------
    str
        JSON: ``html`` to stand in the page, ``docs`` and ``items`` to embed in it.
    """
    choice = choice_of(request)
    charts = tuple(chart_in(chart, choice) for chart in held.charts)
    drawn = drawn_of(held.explained, held.moments, charts)
    figures = {panel.key: figure for panel, figure, _ in drawn.panels}
    for figure in figures.values():
        without_eval(figure)
        _pin(figure)
    roots, document = embedded_data(figures)
    panels = [replace(panel, roots=roots[panel.key]) for panel, _, _ in drawn.panels]
    html = words_in(
        request, "charts.html", panels=panels, missing=drawn.missing, moments=held.moments
    )
    return json.dumps({"html": html, **document}, allow_nan=False)


def without_eval(figure: Any) -> None:
    """Take code out of a chart that would have to be evaluated in the browser.

    Ticks of the time are written by code in pages that stand alone. A page that forbids
    evaluation (its policy does) writes them in its own script: the axis is tagged for it.

    Parameters
    ----------
    figure : figure
        The chart; it is changed.
    """
    from bokeh.models import BasicTickFormatter, CustomJSTickFormatter

    for axis in figure.xaxis:
        if isinstance(axis.formatter, CustomJSTickFormatter):
            told = axis.formatter.args
            tags = [CLOCK, float(told["base"]), bool(told["dated"])] if told else [HOURS]
            axis.formatter = BasicTickFormatter(tags=tags)


def _pin(figure: Any) -> None:
    """Put the cursor that stays into a chart, unseen until it has a place."""
    from bokeh.models.annotations.geometry import Span

    pin = Span(
        dimension="height", line_color=palette()["vermilion"].on_paper, line_width=2,
        name="pin", visible=False, location=0.0, tags=["vermilion"],
    )  # fmt: skip
    figure.add_layout(pin)
