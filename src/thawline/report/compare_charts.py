"""Charts of two mornings, one laid over the other from plugging in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.compare.comparison import Comparison, Overlay
from thawline.report.choice import USUAL, Choice
from thawline.report.chosen import chart_in
from thawline.report.figure import stage_for
from thawline.report.lines import Name, let_cursor_read, line_chart, names_of
from thawline.report.moments import Moments
from thawline.report.numbers import symbol
from thawline.report.panels import DASHES, Key
from thawline.report.series import Chart, Series
from thawline.report.thinning import thin

#: Colour, dashes and width of both mornings [px].
LOOKS = {"A": ("blue", "solid", 2.2), "B": ("vermilion", "dashed", 2.2)}
#: Height of a chart's frame [px], room above and below its lines [1], and least extent of its
#: axis [unit].
HEIGHT, ROOM, LEAST = 190, 0.06, 1.0


@dataclass(frozen=True, slots=True)
class Drawn:
    """One chart, ready for the page.

    Parameters
    ----------
    key, title, unit : str
        What it is.
    keys : tuple of Key
        Its legend, in words.
    names : tuple of Name
        Names beside its lines.
    """

    key: str
    title: str
    unit: str
    keys: tuple[Key, ...]
    names: tuple[Name, ...]

    @property
    def spoken(self) -> str:
        """The chart in words, for those who cannot see it."""
        return f"{self.title}. " + "; ".join(f"{key.label}: {key.course}" for key in self.keys)


def compare_charts(found: Comparison, choice: Choice = USUAL) -> tuple[list[Drawn], dict[str, Any]]:
    """Draw the charts of a comparison.

    Parameters
    ----------
    found : Comparison
        The comparison.
    choice : Choice
        Units of the charts.

    Returns
    -------
    drawn : list of Drawn
        What stands beside each chart.
    figures : dict of str to figure
        The charts by name.
    """
    drawn: list[Drawn] = []
    figures: dict[str, Any] = {}
    begin = min(-found.a.zero_s, -found.b.zero_s)
    end = max(side.duration_s - side.zero_s for side in (found.a, found.b))
    # the stage counts from its own first sample: shift both by the earlier beginning
    stage = stage_for(Moments(0.0, -begin, True), end - begin, ())
    for overlay in found.overlays:
        chart = _chart(overlay, begin)
        if chart is None:
            continue
        chart = chart_in(chart, choice)
        figures[chart.key] = line_chart(chart, stage)
        let_cursor_read(figures[chart.key], chart, stage)
        drawn.append(Drawn(chart.key, chart.title, symbol(chart.unit), _keys(chart),
                           names_of(chart)))  # fmt: skip
    return drawn, figures


def _keys(chart: Chart) -> tuple[Key, ...]:
    return tuple(
        Key(line.label, line.course(chart.high - chart.low), line.colour, DASHES[line.dash])
        for line in chart.series
    )


def _chart(overlay: Overlay, begin: float) -> Chart | None:
    pairs: tuple[tuple[str, NDArray[np.float64], NDArray[np.float64]], ...] = (
        ("A", overlay.a_t, overlay.a),
        ("B", overlay.b_t, overlay.b),
    )
    lines = []
    for label, t, values in pairs:
        if not len(values) or np.all(np.isnan(values)):
            continue
        colour, dash, width = LOOKS[label]
        thinned_t, thinned = thin(t - begin, values)
        lines.append(Series(label, colour, dash, width, overlay.unit, thinned_t, thinned))
    if not lines:
        return None
    known = np.concatenate([line.values[~np.isnan(line.values)] for line in lines])
    low, high = float(known.min()), float(known.max())
    if overlay.unit in ("kW", "degC"):
        low, high = min(low, 0.0), max(high, 0.0)
    if high - low < LEAST:
        low, high = low - LEAST / 2.0, high + LEAST / 2.0
    room = ROOM * (high - low)
    return Chart(overlay.key, overlay.title, "", overlay.unit, HEIGHT, low - room, high + room,
                 tuple(lines))  # fmt: skip
