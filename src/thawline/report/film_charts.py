"""The film's charts, drawn twice before the first frame: without their lines, and with them."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from typing import Any

import numpy as np
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from matplotlib.patches import Rectangle
from numpy.typing import NDArray

from thawline.report.explained import Explained
from thawline.report.film_layout import Box, Layout
from thawline.report.lanes import lane_rows
from thawline.report.moments import Moments
from thawline.report.numbers import symbol
from thawline.report.palette import palette
from thawline.report.series import Chart
from thawline.report.strip import ticks_of

#: Dots of the drawing in an inch; only the ratio to the size of writing matters [1/inch].
DPI = 100
#: Points in an inch [1].
POINTS = 72.0
#: The ground of the film, and how much of what lies below a see-through film it hides [1].
GROUND, VEIL = "#fffdf8", 0.8
#: How the palette's dashes are drawn.
DASHES: dict[str, Any] = {
    "solid": "-", "dashed": "--", "dotted": ":", "dashdot": "-.", "dotdash": (0, (3, 1, 1, 1)),
}  # fmt: skip
#: A line's width against the size of writing [1].
LINE = 0.055

Pixels = NDArray[np.uint8]


def points(pixels: float) -> float:
    """Turn a size in pixels into one in points.

    Parameters
    ----------
    pixels : float
        The size [px].

    Returns
    -------
    float
        The size [pt].
    """
    return pixels * POINTS / DPI


def painted(width: int, height: int, paint: Callable[[Figure], None], ground: Any) -> Pixels:
    """Paint a picture into memory.

    Parameters
    ----------
    width, height : int
        Of the picture [px].
    paint : callable
        Draws on the figure that it is given.
    ground : colour
        Behind it, with its opacity.

    Returns
    -------
    ndarray of uint8, shape (height, width, 4)
        Red, green, blue, opacity.
    """
    figure = Figure(figsize=(width / DPI, height / DPI), dpi=DPI, facecolor=ground)
    canvas = FigureCanvasAgg(figure)
    with warnings.catch_warnings():
        # a name in letters that the font lacks is drawn with boxes; that is no reason to stop
        warnings.filterwarnings("ignore", message="Glyph .* missing from")
        paint(figure)
        canvas.draw()  # type: ignore[no-untyped-call]  # matplotlib leaves it untyped
    pixels = canvas.buffer_rgba()  # type: ignore[no-untyped-call]  # the same
    return np.asarray(pixels).copy()


def draw_charts(
    explained: Explained,
    charts: tuple[Chart, ...],
    where: Layout,
    moments: Moments,
    transparent: bool,
    with_lines: bool,
) -> Pixels:
    """Draw all charts at once, over the whole morning.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    charts : tuple of Chart
        Its charts.
    where : Layout
        Where they stand.
    moments : Moments
        The recording's clock.
    transparent : bool
        Whether what lies below shall be seen.
    with_lines : bool
        Whether the lines and spans are drawn, or the frames and names alone.

    Returns
    -------
    ndarray of uint8, shape (height, width, 4)
        The picture.
    """
    by_key = {chart.key: chart for chart in charts}
    duration_s = explained.recording.duration_s

    def paint(figure: Figure) -> None:
        if transparent:
            figure.add_artist(_veil(where))
        for key, box in where.charts.items():
            axes = _axes(figure, where, box, transparent)
            axes.set_xlim(0.0, duration_s)
            size = points(where.body)
            axes.tick_params(labelsize=size * 0.8, length=size * 0.25, colors=_ink())
            ticks = ticks_of(duration_s, moments)
            last = key == list(where.charts)[-1]
            axes.set_xticks(
                [tick.left / 100.0 * duration_s for tick in ticks],
                [tick.text if last else "" for tick in ticks],
            )
            if key == "lanes":
                _lanes(axes, explained, size, with_lines)
            else:
                _lines(axes, by_key[key], where, with_lines)

    clear = (1.0, 1.0, 1.0, 0.0)
    return painted(where.width, where.height, paint, clear if transparent else GROUND)


def _ink() -> str:
    return palette()["ink"].on_paper


def _veil(where: Layout) -> Rectangle:
    """Lay a veil below all charts with their names and ticks, so that they can be read."""
    right = max((box.x1 for box in where.charts.values()), default=0) / where.width
    low, high = 1.0 - where.caption.y0 / where.height, 1.0 - where.header.y1 / where.height
    return Rectangle((0.0, low), right, high - low, color=GROUND, alpha=VEIL, zorder=-1)


def _axes(figure: Figure, where: Layout, box: Box, transparent: bool) -> Any:
    width, height = where.width, where.height
    axes = figure.add_axes(
        (box.x0 / width, 1 - box.y1 / height, (box.x1 - box.x0) / width, (box.y1 - box.y0) / height)
    )
    axes.patch.set_alpha(0.0 if transparent else 1.0)
    axes.patch.set_facecolor(GROUND)
    for side in ("top", "right"):
        axes.spines[side].set_visible(False)
    return axes


def _lines(axes: Any, chart: Chart, where: Layout, with_lines: bool) -> None:
    axes.set_ylim(chart.low, chart.high)
    axes.locator_params(axis="y", nbins=4)
    axes.grid(axis="y", color=palette()["grey"].on_paper, alpha=0.25)
    if chart.low < chart.rule < chart.high:
        axes.axhline(chart.rule, color=_ink(), linewidth=LINE * where.body, alpha=0.6)
    axes.set_title(
        f"{chart.title}, {symbol(chart.unit)}", loc="left", fontsize=points(where.body),
        color=_ink(), pad=1.0,
    )  # fmt: skip
    for line in chart.series if with_lines else ():
        axes.plot(
            line.t, line.values, color=palette()[line.colour].on_paper,
            linestyle=DASHES[line.dash], linewidth=line.width * LINE * where.body,
        )  # fmt: skip


def _lanes(axes: Any, explained: Explained, size: float, with_spans: bool) -> None:
    busy = {span.lane for span in explained.story.spans}
    rows = [row for row in lane_rows() if row["lane"] in busy]
    axes.set_ylim(max(len(rows), 1), 0.0)
    axes.set_yticks([])
    for index, row in enumerate(rows):
        spans = [span for span in explained.story.spans if span.lane == row["lane"]]
        hatch = "//" if row["lane"] == "no-data" else None
        for span in spans if with_spans else ():
            axes.barh(
                index + 0.5, span.to_s - span.from_s, 0.8, left=span.from_s, alpha=0.6,
                color=palette()[row["colour"]].on_paper, hatch=hatch,
            )  # fmt: skip
        axes.text(
            0.004, index + 0.5, row["title"], transform=axes.get_yaxis_transform(),
            fontsize=size * 0.9, color=_ink(), va="center",
            bbox={"facecolor": GROUND, "alpha": 0.7, "pad": 0.5, "linewidth": 0},
        )  # fmt: skip
