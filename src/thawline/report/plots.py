"""Charts of one quantity against another: points, lines, bands and steps."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from thawline.report.figure import BELOW, FONT, LEFT, RIGHT, TEXT, TOP, slip
from thawline.report.palette import palette
from thawline.report.panels import DASHES, Key

if TYPE_CHECKING:  # bokeh takes half a second to import: only pages with charts pay for it
    from bokeh.plotting import figure as Figure  # noqa: N812  # bokeh names a class in lower case

#: Points that a chart draws at most; more are drawn by chance from all [1].
MOST_POINTS = 1500
#: Height of a chart's frame [px], and room about what it shows [1].
HEIGHT, ROOM = 300, 0.05
Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Layer:
    """One layer of a chart.

    Parameters
    ----------
    kind : str
        ``points``, ``line``, ``band``, ``bars`` or ``mark`` (an upright line at each x).
    label : str
        Its name in the legend; empty: it has no entry.
    course : str
        The same in words.
    colour, dash : str
        Name in the palette, and the pattern of its dashes.
    x, y : ndarray of float64, shape (n,)
        Its points; for bands and bars the lower ends [unit].
    top : ndarray of float64, shape (n,), optional
        Upper ends of a band or of bars [unit].
    """

    kind: str
    label: str
    course: str
    colour: str
    dash: str
    x: Array
    y: Array
    top: Array | None = None


@dataclass(frozen=True, slots=True)
class Plot:
    """A chart of one quantity against another.

    Parameters
    ----------
    key, title, caption : str
        What it is.
    x_title, y_title : str
        What its axes show, with units.
    layers : tuple of Layer
        What it shows, the lowest first.
    with_zero : bool
        Whether its vertical axis begins at zero.
    """

    key: str
    title: str
    caption: str
    x_title: str
    y_title: str
    layers: tuple[Layer, ...]
    with_zero: bool = True

    @property
    def keys(self) -> tuple[Key, ...]:
        """Its legend."""
        return tuple(
            Key(layer.label, layer.course, layer.colour, DASHES.get(layer.dash, ""),
                is_area=layer.kind == "band")
            for layer in self.layers if layer.label
        )  # fmt: skip

    @property
    def entries(self) -> list[tuple[Key, Layer]]:
        """Its legend, each entry with its layer."""
        return list(zip(self.keys, [one for one in self.layers if one.label], strict=True))

    @property
    def spoken(self) -> str:
        """The chart in words, for those who cannot see it."""
        told = "; ".join(f"{key.label}: {key.course}" for key in self.keys if key.course)
        return f"{self.title}. {self.y_title} against {self.x_title}. {told}"


def _ends(plot: Plot) -> tuple[float, float, float, float]:
    solid = [layer for layer in plot.layers if layer.kind != "mark" and len(layer.x)]
    x = np.concatenate([layer.x for layer in solid])
    parts = [layer.y for layer in solid] + [layer.top for layer in solid if layer.top is not None]
    y = np.concatenate(parts)
    y = y[np.isfinite(y)]
    low, high = float(y.min()), float(y.max())
    if plot.with_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    wide, tall = max(float(np.ptp(x)), 1e-6), max(high - low, 1e-6)
    left, right = float(x.min()) - ROOM * wide, float(x.max()) + ROOM * wide
    return left, right, low - ROOM * tall, high + ROOM * tall


def _thinned(layer: Layer) -> tuple[Array, Array]:
    if len(layer.x) <= MOST_POINTS:
        return layer.x, layer.y
    chosen = np.random.default_rng(0).choice(len(layer.x), MOST_POINTS, replace=False)
    return layer.x[chosen], layer.y[chosen]


def draw(plot: Plot) -> Figure:
    """Draw a chart.

    Parameters
    ----------
    plot : Plot
        What it shows.

    Returns
    -------
    figure
        The chart, in the look of all others.
    """
    from bokeh.models import BoxZoomTool, HoverTool, Range1d, ResetTool
    from bokeh.plotting import figure

    left, right, low, high = _ends(plot)
    zoom = BoxZoomTool()
    chart = figure(
        name=plot.key,
        height=HEIGHT + BELOW,
        sizing_mode="stretch_width",
        x_range=Range1d(start=left, end=right, bounds=(left, right)),
        y_range=Range1d(start=low, end=high, bounds=(low, high)),
        tools=[zoom, ResetTool()],
        active_drag=zoom,
        toolbar_location=None,
        min_border_left=LEFT,
        min_border_right=RIGHT,
        min_border_bottom=BELOW,
        min_border_top=TOP,
        background_fill_color=None,
        border_fill_color=None,
        outline_line_color=None,
    )
    _set_axes(chart, plot)
    shown = [_lay(chart, layer) for layer in plot.layers if len(layer.x)]
    lines = [glyph for glyph, layer in zip(shown, [la for la in plot.layers if len(la.x)],
                                           strict=True)
             if layer.kind in ("line", "points")]  # fmt: skip
    chart.add_tools(
        HoverTool(
            renderers=lines,
            mode="mouse",
            line_policy="nearest",
            show_arrow=False,
            tooltips=slip([(plot.x_title, "xt"), (plot.y_title, "yt")]),
        )
    )
    return chart


def _lay(chart: Figure, layer: Layer) -> Any:
    from bokeh.models import ColumnDataSource

    colour = palette()[layer.colour].on_paper
    x, y = _thinned(layer) if layer.kind == "points" else (layer.x, layer.y)
    columns: dict[str, Any] = {"x": x, "y": y}
    if layer.kind in ("line", "points"):
        columns["xt"], columns["yt"] = _written(x), _written(y)
    if layer.top is not None:
        columns["top"] = layer.top
    source = ColumnDataSource(columns)
    drawn: Any
    if layer.kind == "points":
        drawn = chart.scatter("x", "y", source=source, size=4, color=colour, alpha=0.35)
    elif layer.kind == "band":
        drawn = chart.varea("x", "y", "top", source=source, fill_color=colour, fill_alpha=0.2)
    elif layer.kind == "bars":
        drawn = chart.segment("x", "y", "x", "top", source=source, line_color=colour, line_width=2)
    elif layer.kind == "mark":
        drawn = chart.vspan("x", source=source, line_color=colour, line_dash=layer.dash)
    else:
        drawn = chart.line("x", "y", source=source, line_color=colour, line_dash=layer.dash,
                           line_width=2.2)  # fmt: skip
    drawn.glyph.tags = [layer.colour]
    return drawn


def _written(values: Array) -> list[str]:
    return [f"{value:.4g}".replace("-", "−") for value in values.tolist()]


def _set_axes(chart: Figure, plot: Plot) -> None:
    from bokeh.models import BasicTicker

    grey = palette()["grey"].on_paper
    chart.yaxis.ticker = BasicTicker(desired_num_ticks=6, num_minor_ticks=0)
    chart.xaxis.ticker = BasicTicker(desired_num_ticks=8, num_minor_ticks=0)
    chart.xaxis.axis_label = plot.x_title
    for axis in (*chart.xaxis, *chart.yaxis):
        axis.axis_line_color = None
        axis.major_tick_line_color = grey
        axis.major_tick_in, axis.major_tick_out = 0, 4
        axis.major_label_text_color = grey
        axis.major_label_text_font = FONT
        axis.major_label_text_font_size = TEXT
        axis.axis_label_text_font = FONT
        axis.axis_label_text_font_size = TEXT
        axis.axis_label_text_font_style = "normal"
        axis.axis_label_text_color = grey
        axis.tags = ["grey"]
    for grid in (*chart.xgrid, *chart.ygrid):
        grid.grid_line_color = grey
        grid.grid_line_alpha = 0.18
        grid.tags = ["grey"]
