"""The lanes under the charts, and the strip of numbered marks."""

from __future__ import annotations

import csv
from collections.abc import Sequence
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

from thawline.report.chronicle import letters_of, title_of
from thawline.report.explained import AnyFinding
from thawline.report.figure import BELOW, FONT, TEXT, Stage, framed, slip
from thawline.report.lines import moment_text
from thawline.report.moments import duration_text
from thawline.report.numbers import quantity
from thawline.report.palette import palette
from thawline.story.story import Story

if TYPE_CHECKING:  # bokeh takes half a second to import: only pages with charts pay for it
    from bokeh.plotting import figure as Figure  # noqa: N812  # bokeh names a class in lower case

#: Height of a lane with its name, and of a row of marks [px].
LANE, ROW = 40, 22
#: Marks nearer than this share of the recording stand in different rows [1].
NEAR = 0.035
#: Rows of marks at most [1].
ROWS = 4


@cache
def lane_rows() -> tuple[dict[str, str], ...]:
    """Read the lanes: key, title, colour and unit.

    Returns
    -------
    tuple of dict
        In the order in which they are drawn.
    """
    text = files("thawline.report").joinpath("lanes.csv").read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def empty_lanes(story: Story) -> tuple[str, ...]:
    """Name the lanes in which nothing happened.

    Parameters
    ----------
    story : Story
        The story.

    Returns
    -------
    tuple of str
        Their titles.
    """
    busy = {span.lane for span in story.spans}
    return tuple(row["title"] for row in lane_rows() if row["lane"] not in busy)


def lanes_chart(story: Story, stage: Stage) -> Figure | None:
    """Draw the lanes with their spans.

    Parameters
    ----------
    story : Story
        The story.
    stage : Stage
        What all charts share.

    Returns
    -------
    figure or None
        The lanes; None where the story has no span.
    """
    from bokeh.models import ColumnDataSource, HoverTool, Node, Range1d
    from bokeh.models.annotations.labels import Label

    busy = {span.lane for span in story.spans}
    rows = [row for row in lane_rows() if row["lane"] in busy]
    if not rows:
        return None
    drawn = framed(stage, LANE * len(rows), Range1d(start=float(len(rows)), end=0.0), "lanes")
    drawn.yaxis.visible = False
    drawn.ygrid.visible = False
    bars: list[Any] = []
    for index, row in enumerate(rows):
        spans = [span for span in story.spans if span.lane == row["lane"]]
        columns: dict[str, list[Any]] = {
            "left": [stage.moments.minutes(span.from_s) for span in spans],
            "right": [stage.moments.minutes(span.to_s) for span in spans],
            "y": [index + 0.7] * len(spans),
            "lane": [row["title"]] * len(spans),
            "from": [moment_text(stage, span.from_s) for span in spans],
            "to": [moment_text(stage, span.to_s) for span in spans],
            "long": [duration_text(span.to_s - span.from_s) for span in spans],
            "level": ["" if s.level is None else quantity(s.level, row["unit"]) for s in spans],
            "because": [span.because for span in spans],
        }
        paint = palette()[row["colour"]].on_paper
        bar = drawn.hbar(
            y="y", left="left", right="right", height=0.42, source=ColumnDataSource(columns),
            fill_color=paint, line_color=paint, fill_alpha=0.75,
        )  # fmt: skip
        bar.glyph.tags = [row["colour"]]
        if row["lane"] == "no-data":
            bar.glyph.fill_alpha = 0.1
            bar.glyph.hatch_pattern = "right_diagonal_line"
            bar.glyph.hatch_color = paint
        bars.append(bar)
        drawn.add_layout(
            Label(
                x=Node.frame.left, y=index + 0.44, x_offset=2, text=row["title"],
                text_baseline="bottom", text_color=palette()["ink"].on_paper,
                text_font=FONT, text_font_size=TEXT, tags=["ink"],
                background_fill_color="#fffdf8", background_fill_alpha=0.85,
            )
        )  # fmt: skip
    tooltips = [
        ("", "lane"), ("from", "from"), ("to", "to"), ("for", "long"), ("mean", "level"),
        ("because", "because"),
    ]  # fmt: skip
    drawn.add_tools(
        HoverTool(renderers=bars, tooltips=slip(tooltips), attachment="vertical", show_arrow=False)
    )
    return drawn


def rows_for(minutes: list[float], near: float) -> list[int]:
    """Put marks that would touch each other into different rows.

    Parameters
    ----------
    minutes : list of float
        Where the marks stand, in order [min].
    near : float
        Marks nearer than this would touch [min].

    Returns
    -------
    list of int
        The row of each mark, from 0.
    """
    last = [-float("inf")] * ROWS
    rows = []
    for here in minutes:
        free = [row for row in range(ROWS) if here - last[row] >= near]
        row = free[0] if free else min(range(ROWS), key=lambda index: last[index])
        last[row] = here
        rows.append(row)
    return rows


def marks_strip(stage: Stage, findings: Sequence[AnyFinding] = ()) -> Figure | None:
    """Draw the numbers of the turning points, and the letters of findings, above the charts.

    Parameters
    ----------
    stage : Stage
        What all charts share.
    findings : sequence of Finding
        Findings; those with a time are marked.

    Returns
    -------
    figure or None
        The strip; None where there is nothing to mark.
    """
    from bokeh.models import HoverTool, Range1d

    timed = [(letter, one[0], float(one[1])) for letter, one in
             zip(letters_of(findings), findings, strict=True) if one[1] is not None]  # fmt: skip
    if not stage.points and not timed:
        return None
    near = NEAR * max(stage.duration_s, 1.0) / 60.0
    minutes = [stage.moments.minutes(point.t_s) for point in stage.points]
    rows = rows_for(minutes, near)
    below = max(rows, default=-1) + 1
    timed.sort(key=lambda one: one[2])
    found = [stage.moments.minutes(at_s) for _, _, at_s in timed]
    found_rows = [below + row for row in rows_for(found, near)]
    count = max([*rows, *found_rows]) + 1
    drawn = framed(stage, ROW * count - BELOW, Range1d(start=float(count), end=0.0), "marks")
    drawn.min_border_bottom = drawn.min_border_top = 0
    drawn.axis.visible = False
    drawn.grid.visible = False
    columns: dict[str, list[Any]] = {
        "x": minutes,
        "y": [row + 0.5 for row in rows],
        "text": [str(index) for index in range(1, len(rows) + 1)],
        "what": [title_of(point.kind) for point in stage.points],
        "when": [moment_text(stage, point.t_s) for point in stage.points],
    }
    letters: dict[str, list[Any]] = {
        "x": found,
        "y": [row + 0.5 for row in found_rows],
        "text": [letter for letter, _, _ in timed],
        "what": [title_of(kind) for _, kind, _ in timed],
        "when": [moment_text(stage, at_s) for _, _, at_s in timed],
    }
    marked = [_marks(drawn, columns, "circle", "ink")] if minutes else []
    if found:
        marked.append(_marks(drawn, letters, "square", "vermilion"))
    hover = HoverTool(
        renderers=marked, tooltips=slip([("", "what"), ("when", "when")]), show_arrow=False
    )
    drawn.add_tools(hover)
    return drawn


def _marks(drawn: Figure, columns: dict[str, list[Any]], shape: str, colour: str) -> Any:
    from bokeh.core.properties import value
    from bokeh.models import ColumnDataSource

    source, paint = ColumnDataSource(columns), palette()[colour].on_paper
    discs = drawn.scatter("x", "y", source=source, size=19, line_width=1.2, marker=shape)
    tags = ["disc"] if colour == "ink" else ["disc", colour]
    discs.glyph.update(line_color=paint, fill_color="#fffdf8", tags=tags)
    drawn.text(
        "x", "y", text="text", source=source, text_align="center", text_baseline="middle",
        text_font=value(FONT), text_font_size="11px", text_color=paint,
    ).glyph.tags = [colour]  # fmt: skip
    return discs
