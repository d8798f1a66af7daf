"""Charts of lines: temperatures, powers, limits, charge."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from thawline.report.figure import TOP, Stage, framed, readings
from thawline.report.numbers import quantity
from thawline.report.palette import palette
from thawline.report.series import Chart, Series

if TYPE_CHECKING:  # bokeh takes half a second to import: only pages with charts pay for it
    from bokeh.plotting import figure as Figure  # noqa: N812  # bokeh names a class in lower case

#: The cursor reads the lines at this many moments at most [1].
READINGS = 720
#: What the name of a line's source begins with, before the line's path.
LINE = "line:"
#: Names of lines at the right edge keep this distance from each other [px].
BETWEEN_NAMES = 15.0


@dataclass(frozen=True, slots=True)
class Name:
    """A line's name beside the chart.

    Parameters
    ----------
    label, colour : str
        The name, and its colour in the palette.
    top_px : int
        Middle of the text, below the chart's upper edge [px].
    """

    label: str
    colour: str
    top_px: int


def line_chart(chart: Chart, stage: Stage) -> Figure:
    """Draw a chart of lines.

    Parameters
    ----------
    chart : Chart
        What it shows.
    stage : Stage
        What all charts share.

    Returns
    -------
    figure
        The chart.
    """
    from bokeh.models import ColumnDataSource, Range1d
    from bokeh.models.annotations.geometry import Span

    drawn = framed(stage, chart.height, Range1d(start=chart.low, end=chart.high), chart.key)
    if chart.low < chart.rule < chart.high:
        ink = palette()["ink"].on_paper
        drawn.add_layout(
            Span(
                location=chart.rule, dimension="width", line_color=ink, line_width=1.4,
                tags=["ink"],
            )
        )  # fmt: skip
    for series in chart.series:
        x = _minutes(series.t, stage)
        source = ColumnDataSource({"x": x, "y": series.values.astype(np.float32)})
        if series.path:
            source.name = LINE + series.path  # where a server may put other samples of the line
        colour = palette()[series.colour].on_paper
        line = drawn.line(
            "x",
            "y",
            source=source,
            line_color=colour,
            line_dash=series.dash,
            line_width=series.width,
        )
        line.glyph.tags = [series.colour]
        alone = _alone(series.values)
        if alone.any():
            lonely = {"x": x[alone], "y": series.values[alone].astype(np.float32)}
            drawn.scatter("x", "y", source=ColumnDataSource(lonely), color=colour, size=5)
    return drawn


def _minutes(t: NDArray[np.float64], stage: Stage) -> NDArray[np.float32]:
    return ((t - stage.moments.zero_s) / 60.0).astype(np.float32)


def _alone(values: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Find the samples that no line reaches: silent before and after."""
    known = ~np.isnan(values)
    before, after = np.append(False, known[:-1]), np.append(known[1:], False)
    return np.asarray(known & ~before & ~after)


def spread(heights: list[float], distance: float, low: float, high: float) -> list[float]:
    """Move heights apart as little as needed, keeping their order.

    Parameters
    ----------
    heights : list of float
        Where names would stand [px].
    distance : float
        Least distance between neighbours [px].
    low, high : float
        Ends of the room that there is [px].

    Returns
    -------
    list of float
        Where names stand, in the order of ``heights`` [px].
    """
    order = sorted(range(len(heights)), key=lambda index: heights[index])
    placed = [0.0] * len(heights)
    floor = low
    for index in order:
        placed[index] = max(heights[index], floor)
        floor = placed[index] + distance
    ceiling = high
    for index in reversed(order):
        placed[index] = min(placed[index], ceiling)
        ceiling = placed[index] - distance
    return placed


def names_of(chart: Chart) -> tuple[Name, ...]:
    """Place each line's name beside its right end, so that no two touch.

    Parameters
    ----------
    chart : Chart
        The chart.

    Returns
    -------
    tuple of Name
        The names with their places.
    """
    frame = float(chart.height - TOP)
    ends = [float(series.values[~np.isnan(series.values)][-1]) for series in chart.series]
    natural = [frame * (chart.high - end) / (chart.high - chart.low) for end in ends]
    placed = spread(natural, BETWEEN_NAMES, 0.0, frame)
    return tuple(
        Name(series.label, series.colour, round(TOP + there))
        for series, there in zip(chart.series, placed, strict=True)
    )


def let_cursor_read(drawn: Figure, chart: Chart, stage: Stage) -> None:
    """Let the cursor read all lines of a chart at once, in a page that stands alone.

    Parameters
    ----------
    drawn : figure
        The chart as it was drawn.
    chart : Chart
        What it shows.
    stage : Stage
        What all charts share.
    """
    count = max(2, min(READINGS, int(stage.duration_s) + 1))
    t = np.linspace(0.0, max(stage.duration_s, 1.0), count)
    columns: dict[str, Any] = {
        "x": _minutes(t, stage),
        "y": np.full(count, (chart.low + chart.high) / 2.0, dtype=np.float32),
        "when": [moment_text(stage, moment) for moment in t],
    }
    rows = [("", "when")]
    for index, series in enumerate(chart.series):
        columns[f"v{index}"] = _texts(series, t)
        rows.append((series.label, f"v{index}"))
    readings(drawn, columns, rows)


def moment_text(stage: Stage, t_s: float) -> str:
    """Give a moment for the cursor, by clock and in minutes.

    Parameters
    ----------
    stage : Stage
        What all charts share.
    t_s : float
        Since the first sample [s].

    Returns
    -------
    str
        Such as ``06:41:17, 12.5 min``.
    """
    minutes = f"{stage.moments.minutes(t_s):.1f} min".replace("-", "−")
    return f"{stage.moments.clock(t_s)}, {minutes}"


def _texts(series: Series, t: NDArray[np.float64]) -> list[str]:
    values = np.interp(t, series.t, series.values, left=np.nan, right=np.nan)
    return [quantity(value, series.unit) if value == value else "–" for value in values.tolist()]
