"""What the charts show: which lines, from which channels and flows, with which extent."""

from __future__ import annotations

import csv
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

import numpy as np
from numpy.typing import NDArray

from thawline.recording.recording import Channel
from thawline.report.explained import Explained
from thawline.report.numbers import quantity
from thawline.report.thinning import calmed, flickers, thin, with_breaks

#: Room left above and below the lines of a chart [share of their extent].
MARGIN = 0.06
#: Differences below this share of a chart's axis are not worth a word [1].
TELLING = 0.03
#: A thermometer that flickers is drawn by its means over this part of the recording [1].
CALM_WINDOWS = 600
#: A power that never reaches this is no line worth drawing [kW].
LEAST_KW = 0.05
#: Dashes of further lines from one row, such as a second drive unit.
FURTHER_DASHES = ("dashed", "dotted", "dashdot", "dotdash")

Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Series:
    """One line of a chart.

    Parameters
    ----------
    label : str
        Its name in the chart.
    colour, dash : str
        Name in the palette, and the pattern of its dashes.
    width : float
        Its width [px].
    unit : str
        Catalogue unit of the values.
    t, values : ndarray of float64, shape (n,)
        Thinned samples, NaN where the line breaks [s], [unit].
    path : str
        Of the channel, or ``flow:`` and the flow's name; empty where it is neither.
    """

    label: str
    colour: str
    dash: str
    width: float
    unit: str
    t: Floats
    values: Floats
    path: str = ""

    def course(self, extent: float) -> str:
        """Tell the line in words: its ends, and its extremes where they matter.

        Parameters
        ----------
        extent : float
            Extent of the chart's axis, against which differences are judged [unit].

        Returns
        -------
        str
            Such as ``0.00 to 5.00 kW, highest 6.80 kW``.
        """
        known = self.values[~np.isnan(self.values)]
        if len(known) == 0:
            return "no values"
        small = TELLING * extent
        first, last = float(known[0]), float(known[-1])
        low, high = float(known.min()), float(known.max())
        if high - low < small:
            return f"steady near {quantity(float(np.median(known)), self.unit)}"
        if abs(last - first) < small:
            text = f"begins and ends near {quantity(first, self.unit)}"
        else:
            text = f"{quantity(first, self.unit)} to {quantity(last, self.unit)}"
        if high - max(first, last) > small:
            text += f", highest {quantity(high, self.unit)}"
        if min(first, last) - low > small:
            text += f", lowest {quantity(low, self.unit)}"
        return text


@dataclass(frozen=True, slots=True)
class Chart:
    """One chart of lines over the common time.

    Parameters
    ----------
    key : str
        Short name.
    title, caption : str
        What it shows.
    unit : str
        Catalogue unit of its axis.
    height : int
        Height of its frame [px].
    low, high : float
        Ends of its axis [unit].
    series : tuple of Series
        Its lines.
    rule : float
        Where a heavy rule runs across, if its axis reaches there [unit].
    """

    key: str
    title: str
    caption: str
    unit: str
    height: int
    low: float
    high: float
    series: tuple[Series, ...]
    rule: float = 0.0


@cache
def _rows(name: str) -> tuple[dict[str, str], ...]:
    text = files("thawline.report").joinpath(name).read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def _channels(explained: Explained, path: str) -> list[tuple[str, Channel]]:
    """Find the channels of a row, with the word that stands for its placeholder."""
    channels = explained.recording.channels
    head, mark, tail = path.partition("<")
    if not mark:
        return [("", channels[path])] if path in channels else []
    tail = tail.partition(">")[2]
    found = []
    for name in sorted(channels):
        if name.startswith(head) and name.endswith(tail) and len(name) > len(head) + len(tail):
            word = name[len(head) : len(name) - len(tail)]
            if "." not in word:
                found.append((word.lower(), channels[name]))
    return found


def _lines_of(row: dict[str, str], explained: Explained) -> list[Series]:
    colour, dash, width = row["colour"], row["dash"], float(row["width"])
    if row["origin"] == "flow":
        flow = explained.flows.flows.get(row["name"])
        if flow is None or np.all(np.isnan(flow.kW)) or np.nanmax(np.abs(flow.kW)) < LEAST_KW:
            return []
        t, values = thin(explained.flows.t, flow.kW)
        path = f"flow:{row['name']}"
        return [Series(row["label"], colour, dash, width, "kW", t, values, path)]
    lines = []
    for index, (word, channel) in enumerate(_channels(explained, row["name"])):
        if len(channel.t) == 0:
            continue
        t, values = with_breaks(channel, explained.recording.gaps)
        if channel.unit == "degC" and flickers(values):
            t, values = calmed(t, values, explained.recording.duration_s / CALM_WINDOWS)
        t, values = thin(t, values)
        pattern = dash if index == 0 else FURTHER_DASHES[(index - 1) % len(FURTHER_DASHES)]
        label = row["label"].format(word)
        lines.append(Series(label, colour, pattern, width, channel.unit, t, values, channel.path))
    return lines


def _extent(lines: tuple[Series, ...], least_span: float, with_zero: bool) -> tuple[float, float]:
    known = np.concatenate([line.values[~np.isnan(line.values)] for line in lines])
    low, high = float(known.min()), float(known.max())
    if with_zero:
        low, high = min(low, 0.0), max(high, 0.0)
    if high - low < least_span:
        middle = (low + high) / 2.0
        low, high = middle - least_span / 2.0, middle + least_span / 2.0
    room = MARGIN * (high - low)
    return low - room, high + room


def charts_of(explained: Explained) -> tuple[Chart, ...]:
    """Choose the charts and their lines.

    Parameters
    ----------
    explained : Explained
        The explained recording.

    Returns
    -------
    tuple of Chart
        The charts for which the recording holds at least one line.
    """
    charts = []
    for row in _rows("charts.csv"):
        lines = tuple(
            line
            for line_row in _rows("series.csv")
            if line_row["chart"] == row["chart"]
            for line in _lines_of(line_row, explained)
        )
        if not lines:
            continue
        low, high = _extent(lines, float(row["least_span"]), row["zero"] == "yes")
        charts.append(
            Chart(
                key=row["chart"],
                title=row["title"],
                caption=row["caption"],
                unit=row["unit"],
                height=int(row["height"]),
                low=low,
                high=high,
                series=lines,
            )
        )
    return tuple(charts)


def missing_charts(charts: tuple[Chart, ...]) -> tuple[str, ...]:
    """Name the charts that the recording cannot fill.

    Parameters
    ----------
    charts : tuple of Chart
        The charts that it can.

    Returns
    -------
    tuple of str
        Titles of the others.
    """
    drawn = {chart.key for chart in charts}
    return tuple(row["title"] for row in _rows("charts.csv") if row["chart"] not in drawn)
