"""The film's captions: what just happened and why, short enough to be read in passing."""

from __future__ import annotations

import re
import textwrap
from dataclasses import dataclass

from thawline.report.chronicle import title_of
from thawline.report.film_warp import Warp
from thawline.report.one_line import one_line
from thawline.story.story import Story

#: Turning points that lie this near to each other in the film share a caption [s].
TOGETHER_S = 2.5
#: So many titles at most stand in one caption, the latest ones [1].
TITLES = 3
#: Lines for the reason, and the size of their writing against the title's [1].
LINES, REASON = 2, 0.8


@dataclass(frozen=True, slots=True)
class Caption:
    """What is said at a moment of the film.

    Parameters
    ----------
    title : str
        What happened.
    lines : tuple of str
        Why, wrapped to the film's width.
    """

    title: str
    lines: tuple[str, ...]


def caption_at(story: Story, clocks: Warp, film_s: float, columns: int) -> Caption:
    """Say what the film says at a moment: the last turning point, and those just before it.

    Parameters
    ----------
    story : Story
        The story.
    clocks : Warp
        The film's time.
    film_s : float
        Since the film's start [s].
    columns : int
        Characters that fit in a line [1].

    Returns
    -------
    Caption
        Empty before the first turning point.
    """
    now_s = clocks.morning(film_s)
    past = [point for point in story.turning_points if point.t_s <= now_s]
    if not past:
        return Caption("", ())
    last = past[-1]
    since = clocks.film(last.t_s) - TOGETHER_S
    near = [point for point in past if clocks.film(point.t_s) >= since][-TITLES:]
    titles = [title_of(point.kind) for point in near]
    while len(titles) > 1 and len(" · ".join(titles)) > columns:
        titles.pop(0)
    title = textwrap.shorten(" · ".join(titles), columns, placeholder=" …")
    return Caption(title, shortened(last.because, int(columns / REASON)))


def shortened(because: str, columns: int) -> tuple[str, ...]:
    """Shorten a reason to the lines that there are, by whole clauses where that can be.

    Parameters
    ----------
    because : str
        The reason as the story gives it.
    columns : int
        Characters that fit in a line [1].

    Returns
    -------
    tuple of str
        At most ``LINES`` lines; what is in brackets is left to the report.
    """
    whole = re.sub(r"\s*\([^()]*\)", "", one_line(because))
    ends = [found.start() for found in re.finditer(r"[;.](?= )|, (?=and |but |so |which )", whole)]
    for end in (len(whole), *reversed(ends)):
        cut = whole[:end].rstrip(" ,;")
        lines = textwrap.wrap(cut if cut.endswith(".") else cut + ".", columns,
                              break_on_hyphens=False)  # fmt: skip
        if cut and len(lines) <= LINES:
            return tuple(lines)
    return tuple(textwrap.wrap(whole, columns, max_lines=LINES, placeholder=" …"))
