"""The film's frames: the charts laid bare up to now, with clock, speed, values and caption.

Nothing is drawn twice: a frame is the empty charts, with the columns of the full charts copied
in up to the moment shown, and pieces of writing that are kept as long as they say the same.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

import numpy as np
from matplotlib.figure import Figure
from matplotlib.lines import Line2D

from thawline.report.explained import Explained
from thawline.report.film_caption import REASON, caption_at
from thawline.report.film_charts import (
    DASHES,
    GROUND,
    LINE,
    VEIL,
    Pixels,
    draw_charts,
    painted,
    points,
)
from thawline.report.film_layout import Box, Layout, layout
from thawline.report.film_warp import Warp, warp
from thawline.report.moments import Moments, moments_of
from thawline.report.numbers import quantity
from thawline.report.one_line import one_line
from thawline.report.palette import palette
from thawline.report.series import Chart, Series, charts_of

#: Charts of a film, from the top; the lanes come last.
KEYS = ("pack-temperature", "power", "charge")
#: Pieces of writing that are kept [1].
KEPT = 512
#: A value this far from the moment shown is not known at it [s].
NEAR_S = 60.0
#: Steps between two lines of writing, against their size [1].
LEADING = 1.35


@dataclass(frozen=True, slots=True)
class Film:
    """A film that can be asked for any of its frames.

    Parameters
    ----------
    width, height : int
        Of each frame [px].
    seconds : float
        Its length [s].
    clocks : Warp
        Its time against the morning's.
    frame : callable
        Takes a moment of the film [s], gives a frame of shape (height, width, 4).
    """

    width: int
    height: int
    seconds: float
    clocks: Warp
    frame: Callable[[float], Pixels]

    def frames(self, fps: float) -> Iterator[Pixels]:
        """Go through the film.

        Parameters
        ----------
        fps : float
            Frames in a second of the film [1/s].

        Yields
        ------
        ndarray of uint8, shape (height, width, 4)
            Red, green, blue, opacity.
        """
        for index in range(self.count(fps)):
            yield self.frame(index / fps)

    def count(self, fps: float) -> int:
        """Count the frames.

        Parameters
        ----------
        fps : float
            Frames in a second of the film [1/s].

        Returns
        -------
        int
            How many there are.
        """
        return max(round(self.seconds * fps), 1)


def make_film(
    explained: Explained, width: int, height: int, seconds: float, transparent: bool = False
) -> Film:
    """Prepare the film of a morning.

    Parameters
    ----------
    explained : Explained
        The explained recording.
    width, height : int
        Of each frame [px].
    seconds : float
        Its length [s].
    transparent : bool
        Whether it shall be laid over other footage.

    Returns
    -------
    Film
        The film.
    """
    story, recording = explained.story, explained.recording
    moments = moments_of(recording, story)
    charts = {chart.key: chart for chart in charts_of(explained) if chart.key in KEYS}
    keys = [key for key in KEYS if key in charts] + (["lanes"] if story.spans else [])
    where = layout(width, height, keys)
    duration_s = max(recording.duration_s, 1.0)
    clocks = warp(duration_s, [point.t_s for point in story.turning_points], seconds)
    shown = tuple(charts.values())
    empty, full = (
        draw_charts(explained, shown, where, moments, transparent, lines) for lines in (False, True)
    )
    write = _writer(where, transparent)

    def frame(film_s: float) -> Pixels:
        now_s = clocks.morning(film_s)
        picture = empty.copy()
        for box in where.charts.values():
            here = box.x0 + round((box.x1 - box.x0) * now_s / duration_s)
            picture[box.y0 : box.y1, box.x0 : here] = full[box.y0 : box.y1, box.x0 : here]
            thick = max(round(LINE * where.body), 1)
            picture[box.y0 : box.y1, here : here + thick] = _rgba(palette()["ink"].on_paper)
        _head(picture, write, where, explained, moments, now_s, clocks.speed(film_s))
        for key, chart in charts.items():
            _values(picture, write, where, where.charts[key], chart, now_s)
        said = caption_at(story, clocks, film_s, where.columns)
        top, step = where.caption.y0, round(where.caption_title * LEADING)
        left = next(iter(where.charts.values())).x0 if where.charts else 0
        for row, text in enumerate((said.title, *said.lines) if said.title else ()):
            size = where.caption_title * (1.0 if row == 0 else REASON)
            box = Box(left, top + row * step, width - left, top + (row + 1) * step)
            _put(picture, box, write(text, size, box.x1 - box.x0, step, "ink", "", row == 0))
        return picture

    return Film(width, height, seconds, clocks, frame)


def _rgba(colour: str) -> tuple[int, ...]:
    return (*(int(colour[index : index + 2], 16) for index in (1, 3, 5)), 255)


def _writer(where: Layout, transparent: bool) -> Callable[..., Pixels]:
    from matplotlib.colors import to_rgba

    ground = to_rgba(GROUND, VEIL if transparent else 1.0)

    @lru_cache(maxsize=KEPT)
    def write(
        text: str, size: float, width: int, height: int, colour: str, dash: str, bold: bool
    ) -> Pixels:
        """Write one line, after a piece of the line that it names if ``dash`` is given."""
        paint_with = palette()[colour].on_paper

        def paint(figure: Figure) -> None:
            start = 0.0
            if dash:
                start = min(2.6 * size / width, 0.3)
                swatch: Any = Line2D(
                    [0.1 * start, 0.8 * start], [0.5, 0.5], color=paint_with,
                    linestyle=DASHES[dash], linewidth=2.0 * LINE * where.body,
                )  # fmt: skip
                figure.add_artist(swatch)
            written = figure.text(
                start, 0.5, one_line(text), fontsize=points(size), va="center_baseline",
                color=palette()["ink"].on_paper, weight="bold" if bold else "normal",
                parse_math=False,
            )  # fmt: skip
            # a line that is too long is written smaller rather than cut off
            room = width * (1.0 - start)
            if (needs := written.get_window_extent().width) > room:
                written.set_fontsize(points(size) * room / needs)

        return painted(max(width, 1), max(height, 1), paint, ground)

    return write


def _put(picture: Pixels, box: Box, piece: Pixels) -> None:
    room = picture[box.y0 : box.y1, box.x0 : box.x1]
    room[:] = piece[: room.shape[0], : room.shape[1]]


def _head(
    picture: Pixels, write: Callable[..., Pixels], where: Layout, explained: Explained,
    moments: Moments, now_s: float, speed: float,
) -> None:  # fmt: skip
    left = next(iter(where.charts.values())).x0 if where.charts else 0
    tall = where.header.y1 - where.header.y0
    half = where.width // 2
    name = f"{explained.recording.vehicle.name}, {moments.date}"
    pace = f"×{speed:.0f}" if speed >= 2.0 else f"×{speed:.1f}"
    clock = f"{moments.clock(now_s)}   {pace}"
    _put(picture, Box(left, 0, half, tall),
         write(name, where.caption_title, half - left, tall, "ink", "", False))  # fmt: skip
    _put(picture, Box(half, 0, where.width, tall),
         write(clock, where.clock, where.width - half, tall, "ink", "", True))  # fmt: skip


def _values(
    picture: Pixels, write: Callable[..., Pixels], where: Layout, box: Box, chart: Chart,
    now_s: float,
) -> None:  # fmt: skip
    gap = round(where.body * 0.6)
    step = min(round(where.body * LEADING), max((box.y1 - box.y0) // len(chart.series), 1))
    width = where.width - box.x1 - gap
    for row, line in enumerate(chart.series):
        value = quantity(_at(line, now_s), line.unit)
        place = Box(box.x1 + gap, box.y0 + row * step, where.width, box.y0 + (row + 1) * step)
        text = f"{line.label}  {value}"
        size = min(where.body, step / LEADING)
        _put(picture, place, write(text, size, width, step, line.colour, line.dash, False))


def _at(line: Series, now_s: float) -> float | None:
    """Read a line at a moment: the last value before it, if that is not too old."""
    index = int(np.searchsorted(line.t, now_s, "right")) - 1
    if index < 0 or np.isnan(line.values[index]):
        return None
    after = min(index + 1, len(line.t) - 1)
    if not np.isnan(line.values[after]) and line.t[after] > line.t[index]:
        return float(np.interp(now_s, line.t[index : after + 1], line.values[index : after + 1]))
    return float(line.values[index]) if now_s - line.t[index] <= NEAR_S else None
