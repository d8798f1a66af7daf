"""The frame that all charts share: one time axis, one cursor, marks at turning points."""

from __future__ import annotations

from dataclasses import dataclass
from html import escape
from typing import TYPE_CHECKING, Any

from thawline.report.moments import Moments
from thawline.report.palette import palette
from thawline.story.story import TurningPoint

if TYPE_CHECKING:  # bokeh takes half a second to import: only pages with charts pay for it
    from bokeh.models import Range1d
    from bokeh.models.annotations.geometry import Span
    from bokeh.plotting import figure as Figure  # noqa: N812  # bokeh names a class in lower case

#: Room left of the frame for numbers on the axis, and right of it for names of lines [px].
LEFT, RIGHT = 52, 136
#: Room above the frame, and for the two-line labels under it [px].
TOP, BELOW = 4, 42
FONT = "system-ui, 'Liberation Sans', 'DejaVu Sans', sans-serif"
TEXT = "12px"

#: Share of the recording left free on both sides, so that marks at its ends are whole [1].
AIR = 0.02
#: Steps between ticks; the same count as seconds and as hours [min].
STEPS = [1.0, 2.0, 5.0, 10.0, 15.0, 30.0]

#: Ticks count minutes from plugging in; below them stands the clock.
TICKS = """
const two = (n) => String(n).padStart(2, "0");
const whole = Math.round(Math.abs(tick) * 60);
const minutes = Math.floor(whole / 60), seconds = whole % 60;
let text = minutes + " min";
if (seconds) { text = (minutes ? text + " " : "") + seconds + " s"; }
else if (minutes >= 120 && minutes % 60 === 0) { text = minutes / 60 + " h"; }
if (tick < 0 && whole) { text = "\\u2212" + text; }
if (!dated) { return text; }
const at = new Date(Math.round(base / 1000 + tick * 60) * 1000);
const left = at.getUTCSeconds() ? ":" + two(at.getUTCSeconds()) : "";
return text + "\\n" + two(at.getUTCHours()) + ":" + two(at.getUTCMinutes()) + left;
"""


@dataclass(frozen=True, slots=True)
class Stage:
    """What the charts of one page have in common.

    Parameters
    ----------
    moments : Moments
        The recording's clock.
    duration_s : float
        Length of the recording [s].
    points : tuple of TurningPoint
        Turning points, marked in every chart.
    x_range : Range1d
        The common time axis, in minutes since plugging in.
    cursor : Span
        The common cursor.
    """

    moments: Moments
    duration_s: float
    points: tuple[TurningPoint, ...]
    x_range: Range1d
    cursor: Span


def stage_for(moments: Moments, duration_s: float, points: tuple[TurningPoint, ...]) -> Stage:
    """Set the stage for the charts of one page.

    Parameters
    ----------
    moments : Moments
        The recording's clock.
    duration_s : float
        Length of the recording [s].
    points : tuple of TurningPoint
        Its turning points.

    Returns
    -------
    Stage
        What the charts have in common.
    """
    from bokeh.models import Range1d  # lazily: see above
    from bokeh.models.annotations.geometry import Span

    air = AIR * max(duration_s, 1.0) / 60.0
    begin, end = moments.minutes(0.0) - air, moments.minutes(max(duration_s, 1.0)) + air
    x_range = Range1d(start=begin, end=end, bounds=(begin, end), name="time", min_interval=0.05)
    cursor = Span(
        dimension="height",
        line_color=palette()["ink"].on_paper,
        line_dash="dotted",
        line_alpha=0.7,
        tags=["ink"],
    )
    return Stage(moments, duration_s, points, x_range, cursor)


def framed(stage: Stage, height: int, y_range: Any, name: str) -> Figure:
    """Make an empty chart on the stage.

    Parameters
    ----------
    stage : Stage
        What all charts share.
    height : int
        Height of the frame, without what stands below it [px].
    y_range : Range or tuple
        Its vertical axis.
    name : str
        Its name for scripts.

    Returns
    -------
    figure
        With axes, marks, cursor and zoom, without lines.
    """
    from bokeh.models import BoxZoomTool, CrosshairTool, WheelZoomTool
    from bokeh.plotting import figure

    drag, wheel = BoxZoomTool(dimensions="width"), WheelZoomTool(
        dimensions="width", modifiers={"ctrl": True}
    )  # fmt: skip
    chart = figure(
        name=name,
        height=height + BELOW,
        sizing_mode="stretch_width",
        x_range=stage.x_range,
        y_range=y_range,
        tools=[drag, wheel, CrosshairTool(dimensions="height", overlay=stage.cursor)],
        active_drag=drag,
        active_scroll=wheel,
        toolbar_location=None,
        min_border_left=LEFT,
        min_border_right=RIGHT,
        min_border_bottom=BELOW,
        min_border_top=TOP,
        background_fill_color=None,
        border_fill_color=None,
        outline_line_color=None,
    )
    _set_axes(chart, stage)
    marks = chart.vspan(
        [stage.moments.minutes(point.t_s) for point in stage.points],
        line_color=palette()["ink"].on_paper,
        line_alpha=0.35,
        line_width=1,
        level="underlay",
    )
    marks.glyph.tags = ["ink"]
    return chart


def _set_axes(chart: Figure, stage: Stage) -> None:
    from bokeh.models import AdaptiveTicker, BasicTicker, CustomJSTickFormatter, NoOverlap

    moments, grey = stage.moments, palette()["grey"].on_paper
    zero_ms = (moments.starts_at + moments.zero_s) * 1000.0
    chart.xaxis.formatter = CustomJSTickFormatter(
        code=TICKS, args={"base": zero_ms, "dated": moments.is_dated}
    )
    chart.xaxis.ticker = AdaptiveTicker(
        base=60.0, mantissas=STEPS, desired_num_ticks=8, num_minor_ticks=0
    )
    chart.xaxis.major_label_policy = NoOverlap()
    chart.yaxis.ticker = BasicTicker(desired_num_ticks=5, num_minor_ticks=0)
    for axis in (*chart.xaxis, *chart.yaxis):
        axis.axis_line_color = None
        axis.major_tick_line_color = grey
        axis.major_tick_in, axis.major_tick_out = 0, 4
        axis.major_label_text_color = grey
        axis.major_label_text_font = FONT
        axis.major_label_text_font_size = TEXT
        axis.tags = ["grey"]
    for grid in (*chart.xgrid, *chart.ygrid):
        grid.grid_line_color = grey
        grid.grid_line_alpha = 0.18
        grid.tags = ["grey"]


def readings(chart: Figure, columns: dict[str, Any], rows: list[tuple[str, str]]) -> None:
    """Let the cursor read all lines of a chart at once.

    Parameters
    ----------
    chart : figure
        The chart.
    columns : dict
        ``x`` [min], ``y`` and texts, on one clock.
    rows : list of tuple of str
        Label and column of each reading.
    """
    from bokeh.models import ColumnDataSource, HoverTool

    # a line without colour: the cursor finds its nearest point at any zoom
    unseen = chart.line("x", "y", source=ColumnDataSource(columns), line_alpha=0.0)
    chart.add_tools(
        HoverTool(
            renderers=[unseen],
            mode="vline",
            line_policy="nearest",
            point_policy="follow_mouse",
            attachment="horizontal",
            show_arrow=False,
            tooltips=slip(rows),
        )
    )


def slip(rows: list[tuple[str, str]]) -> str:
    """Write the slip that the cursor shows, in the colours of the page.

    Parameters
    ----------
    rows : list of tuple of str
        Label and column of each reading; the first without a label is the heading.

    Returns
    -------
    str
        Text for the charting library, which escapes the columns' values.
    """
    lines = "".join(
        f'<div style="font-weight:600">@{{{column}}}</div>'
        if not label
        else f'<div style="display:flex;gap:1em;justify-content:space-between">'
        f'<span style="color:var(--faint)">{escape(label)}</span><span>@{{{column}}}</span></div>'
        for label, column in rows
    )
    return (
        f'<div style="font:12px/1.45 {FONT};color:var(--ink);background:var(--paper);'
        f'margin:-5px;padding:6px 9px;max-width:21rem;white-space:normal">{lines}</div>'
    )
