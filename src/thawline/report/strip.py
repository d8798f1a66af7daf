"""A morning as a strip: lanes along the time, drawn without any script."""

from __future__ import annotations

from dataclasses import dataclass

from thawline.report.chronicle import title_of
from thawline.report.explained import Explained
from thawline.report.lanes import lane_rows, rows_for
from thawline.report.moments import Moments, duration_text
from thawline.report.numbers import number, quantity

#: Steps between ticks of the time [min], and how many ticks fit [1].
STEPS_MIN = (1, 2, 5, 10, 15, 30, 60, 120, 240, 480, 1440)
TICKS = 7
#: Numbers nearer than this share of the width stand in different rows [1].
NEAR = 0.062


@dataclass(frozen=True, slots=True)
class Bar:
    """One span of a lane.

    Parameters
    ----------
    left, width : float
        Where it lies, in hundredths of the strip [%].
    words : str
        What was going on, from when to when.
    """

    left: float
    width: float
    words: str


@dataclass(frozen=True, slots=True)
class Lane:
    """One lane.

    Parameters
    ----------
    key, title, colour : str
        Which one, and its colour in the palette.
    row : int
        Its place among all lanes, whether they are busy or not [1].
    bars : tuple of Bar
        Its spans.
    """

    key: str
    title: str
    colour: str
    row: int
    bars: tuple[Bar, ...]


@dataclass(frozen=True, slots=True)
class Mark:
    """A turning point on the strip.

    Parameters
    ----------
    number : int
        Its number in the chronicle [1].
    left : float
        Where it lies, in hundredths of the strip [%].
    row : int
        In which row of numbers it stands [1].
    t_s : float
        When [s].
    words : str
        What it is, and when.
    """

    number: int
    left: float
    row: int
    t_s: float
    words: str


@dataclass(frozen=True, slots=True)
class Tick:
    """A tick of the time.

    Parameters
    ----------
    left : float
        Where it lies, in hundredths of the strip [%].
    text, clock : str
        Minutes, and the clock there; the latter empty without a date.
    """

    left: float
    text: str
    clock: str


@dataclass(frozen=True, slots=True)
class Strip:
    """A morning as a strip.

    Parameters
    ----------
    duration_s : float
        Length of the recording [s].
    lanes : tuple of Lane
        The lanes in which something happened.
    marks : tuple of Mark
        Its turning points.
    ticks : tuple of Tick
        Ticks of the time.
    """

    duration_s: float
    lanes: tuple[Lane, ...]
    marks: tuple[Mark, ...]
    ticks: tuple[Tick, ...]

    @property
    def rows(self) -> int:
        """How many rows of numbers there are."""
        return max((mark.row for mark in self.marks), default=-1) + 1

    @property
    def spoken(self) -> str:
        """The strip in words, for those who cannot see it."""
        told = (f"{lane.title}: {'; '.join(bar.words for bar in lane.bars)}" for lane in self.lanes)
        return ". ".join(told) or "Nothing happened."


def strip_of(explained: Explained, moments: Moments) -> Strip:
    """Draw a morning as a strip.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    moments : Moments
        Its clock.

    Returns
    -------
    Strip
        Lanes, marks and ticks, placed in hundredths of the width.
    """
    length = max(explained.recording.duration_s, 1.0)
    lanes = []
    for place, row in enumerate(lane_rows()):
        spans = [span for span in explained.story.spans if span.lane == row["lane"]]
        if spans:
            bars = tuple(
                Bar(
                    100.0 * max(span.from_s, 0.0) / length,
                    100.0 * max(min(span.to_s, length) - max(span.from_s, 0.0), 0.0) / length,
                    _words(span.from_s, span.to_s, span.level, row["unit"], moments),
                )
                for span in spans
            )
            lanes.append(Lane(row["lane"], row["title"], row["colour"], place, bars))
    points = explained.story.turning_points
    places = rows_for([point.t_s / 60.0 for point in points], NEAR * length / 60.0)
    marks = tuple(
        Mark(
            index,
            100.0 * point.t_s / length,
            place,
            point.t_s,
            f"{title_of(point.kind)}, {moments.clock(point.t_s)}",
        )
        for index, (point, place) in enumerate(zip(points, places, strict=True), start=1)
    )
    return Strip(length, tuple(lanes), marks, ticks_of(length, moments))


def ticks_of(duration_s: float, moments: Moments) -> tuple[Tick, ...]:
    """Choose ticks of the time.

    Parameters
    ----------
    duration_s : float
        Length of the recording [s].
    moments : Moments
        Its clock.

    Returns
    -------
    tuple of Tick
        At round minutes since plugging in (or the first sample), a handful of them.
    """
    minutes = duration_s / 60.0
    step = next((each for each in STEPS_MIN if minutes / each <= TICKS), STEPS_MIN[-1])
    first = -int(moments.zero_s / 60.0 // step) * step
    ticks = []
    while (t_s := moments.zero_s + 60.0 * first) <= duration_s:
        if t_s >= 0.0:
            text = f"{number(first / 60, 0)} h" if step >= 60 else f"{number(first, 0)} min"
            clock = moments.clock(t_s)[:5] if moments.is_dated else ""
            ticks.append(Tick(100.0 * t_s / duration_s, text, clock))
        first += step
    return tuple(ticks)


def _words(from_s: float, to_s: float, level: float | None, unit: str, moments: Moments) -> str:
    mean = "" if level is None else f", mean {quantity(level, unit)}"
    return f"{moments.clock(from_s)} to {moments.clock(to_s)}, {duration_text(to_s - from_s)}{mean}"
