"""All charts of a page, with their legends in words, ready to be set into it."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from thawline.ledger.ledger import Feed
from thawline.report.chronicle import letters_of
from thawline.report.explained import Explained
from thawline.report.feeding import feeding_chart, let_cursor_read_feed, shares_of
from thawline.report.figure import Stage, stage_for
from thawline.report.lanes import empty_lanes, lanes_chart, marks_strip
from thawline.report.lines import Name, let_cursor_read, line_chart, names_of
from thawline.report.moments import Moments
from thawline.report.numbers import quantity, symbol
from thawline.report.series import Chart, charts_of, missing_charts
from thawline.report.templating import embedded

#: Dash patterns as SVG writes them [px].
DASHES = {"solid": "", "dashed": "6", "dotted": "2 4", "dotdash": "2 4 6 4", "dashdot": "6 4 2 4"}
FEEDING = (
    "Where the power went. Plain areas were fed by the supply, hatched ones by the pack. The top "
    "of the plain areas is the power that the supply gave. Where both fed at once, every load is "
    "shared in proportion."
)


@dataclass(frozen=True, slots=True)
class Key:
    """One entry of a legend.

    Parameters
    ----------
    label : str
        Name of the line or area.
    course : str
        What it does, in words.
    colour : str
        Name in the palette.
    dash : str
        Dashes as SVG writes them; empty for a solid line.
    is_area, is_hatched : bool
        Whether it is an area, and a hatched one.
    path : str
        Path of the line that it names; empty where there is none.
    """

    label: str
    course: str
    colour: str
    dash: str = ""
    is_area: bool = False
    is_hatched: bool = False
    path: str = ""


@dataclass(frozen=True, slots=True)
class Panel:
    """One chart, ready for the page.

    Parameters
    ----------
    key, title, unit, caption : str
        What it is.
    keys : tuple of Key
        Its legend.
    names : tuple of Name
        Names of lines beside the chart.
    roots : tuple of str
        Name of the element that the script fills, and of the chart in the script.
    """

    key: str
    title: str
    unit: str
    caption: str
    keys: tuple[Key, ...]
    names: tuple[Name, ...] = ()
    roots: tuple[str, str] = ("", "")

    @property
    def spoken(self) -> str:
        """The chart in words, for those who cannot see it."""
        lines = "; ".join(f"{key.label}: {key.course}" for key in self.keys if key.course)
        return f"{self.title}. {self.caption} {lines}".strip()


@dataclass(frozen=True, slots=True)
class Panels:
    """All charts of a page.

    Parameters
    ----------
    panels : tuple of Panel
        The charts in order; the strip of marks first, the lanes last.
    script : str
        The script that draws them.
    library : str
        The library that the script needs.
    missing : tuple of str
        Charts and lanes for which the recording holds nothing.
    """

    panels: tuple[Panel, ...]
    script: str
    library: str
    missing: tuple[str, ...]


def _line_keys(chart: Chart) -> tuple[Key, ...]:
    return tuple(
        Key(
            line.label, line.course(chart.high - chart.low), line.colour, DASHES[line.dash],
            path=line.path,
        )
        for line in chart.series
    )  # fmt: skip


def _feeding_keys(feed: Feed) -> tuple[Key, ...]:
    step_h = float(np.median(np.diff(feed.t))) / 3600.0 if len(feed.t) > 1 else 0.0
    return tuple(
        Key(
            f"{'pack' if from_pack else 'supply'} to {label}",
            quantity(float(np.nansum(kW)) * step_h, "kWh"),
            colour,
            is_area=True,
            is_hatched=from_pack,
        )
        for label, colour, from_pack, kW in shares_of(feed)
    )


@dataclass(frozen=True, slots=True)
class Drawn:
    """All charts of a page as figures, before they are embedded.

    Parameters
    ----------
    stage : Stage
        What they share.
    panels : tuple of tuple
        Each panel with its figure, and the chart of lines that it shows or None.
    missing : tuple of str
        Charts and lanes for which the recording holds nothing.
    """

    stage: Stage
    panels: tuple[tuple[Panel, Any, Chart | None], ...]
    missing: tuple[str, ...]


def drawn_of(explained: Explained, moments: Moments, charts: tuple[Chart, ...]) -> Drawn:
    """Draw all charts of a page, without what the cursor reads.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    moments : Moments
        Its clock.
    charts : tuple of Chart
        The charts of lines.

    Returns
    -------
    Drawn
        The figures, and what cannot be drawn.
    """
    story, feed = explained.story, explained.ledger.feed
    stage = stage_for(moments, explained.recording.duration_s, story.turning_points)
    drawn: list[tuple[Panel, Any, Chart | None]] = []

    def add(
        figure: Any, title: str, unit: str = "", caption: str = "",
        keys: tuple[Key, ...] = (), names: tuple[Name, ...] = (), chart: Chart | None = None,
    ) -> None:  # fmt: skip
        if figure is not None:
            drawn.append((Panel(figure.name, title, unit, caption, keys, names), figure, chart))

    has_letters = any(letters_of(explained.findings))
    marks = "Turning points and findings" if has_letters else "Turning points"
    add(marks_strip(stage, explained.findings), marks)
    for chart in charts:
        add(line_chart(chart, stage), chart.title, symbol(chart.unit), chart.caption,
            _line_keys(chart), names_of(chart), chart)  # fmt: skip
        if chart.key == "power" and feed is not None:
            add(feeding_chart(feed, stage), "Who fed whom", "kW", FEEDING, _feeding_keys(feed))
    empty = empty_lanes(story)
    add(lanes_chart(story, stage), "Lanes", "", "When each part of the car was busy.")
    lanes = tuple(f"lane “{title}”" for title in empty if title != "No data")
    return Drawn(stage, tuple(drawn), (*missing_charts(charts), *lanes))


def panels_of(explained: Explained, moments: Moments) -> Panels:
    """Draw all charts of a page that stands alone.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    moments : Moments
        Its clock.

    Returns
    -------
    Panels
        The charts, and what cannot be drawn.
    """
    drawn = drawn_of(explained, moments, charts_of(explained))
    feed = explained.ledger.feed
    for panel, figure, chart in drawn.panels:
        if chart is not None:
            let_cursor_read(figure, chart, drawn.stage)
        elif panel.key == "feeding" and feed is not None:
            let_cursor_read_feed(figure, feed, drawn.stage)
    roots, script, library = embedded({panel.key: figure for panel, figure, _ in drawn.panels})
    return Panels(
        panels=tuple(replace(panel, roots=roots[panel.key]) for panel, _, _ in drawn.panels),
        script=script,
        library=library,
        missing=drawn.missing,
    )
