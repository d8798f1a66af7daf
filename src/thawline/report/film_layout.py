"""Where things stand in a frame of the film, for wide and for tall frames."""

from __future__ import annotations

from dataclasses import dataclass

#: Shares of the frame's height, from the top: header, charts' begin and end, caption's begin [1].
HEADER, TOP, BOTTOM, CAPTION = 0.10, 0.135, 0.80, 0.845
#: Shares of the frame's width: charts' left and right end, wide and tall [1].
LEFT_WIDE, RIGHT_WIDE = 0.05, 0.74
LEFT_TALL, RIGHT_TALL = 0.10, 0.60
#: Room between two charts, as a share of the frame's height [1].
BETWEEN = 0.036
#: Heights of the charts against each other [1].
WEIGHTS = {"pack-temperature": 3.2, "power": 3.0, "charge": 1.6, "lanes": 2.4}
#: Sizes of writing as shares of the frame's shorter side [1].
BODY, CAPTION_TITLE, CLOCK = 0.021, 0.034, 0.05
#: Width of a character against its size [1].
CHARACTER = 0.6


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle of a frame.

    Parameters
    ----------
    x0, y0, x1, y1 : int
        Its left, upper, right and lower edge, counted from the upper left corner [px].
    """

    x0: int
    y0: int
    x1: int
    y1: int


@dataclass(frozen=True, slots=True)
class Layout:
    """Where things stand.

    Parameters
    ----------
    width, height : int
        Of the frame [px].
    header, caption : Box
        The two bands of writing.
    charts : dict of str to Box
        Frames of the charts, by key; all have the same left and right edge.
    body, caption_title, clock : float
        Sizes of writing [px].
    columns : int
        Characters that fit in a line of the caption [1].
    """

    width: int
    height: int
    header: Box
    caption: Box
    charts: dict[str, Box]
    body: float
    caption_title: float
    clock: float
    columns: int


def layout(width: int, height: int, keys: list[str]) -> Layout:
    """Lay out a frame.

    Parameters
    ----------
    width, height : int
        Of the frame [px].
    keys : list of str
        The charts that there are, from the top.

    Returns
    -------
    Layout
        Where things stand.
    """
    wide = width >= height
    left = round(width * (LEFT_WIDE if wide else LEFT_TALL))
    right = round(width * (RIGHT_WIDE if wide else RIGHT_TALL))
    whole = sum(WEIGHTS[key] for key in keys) or 1.0
    room = BOTTOM - TOP - BETWEEN * max(len(keys) - 1, 0)
    charts, top = {}, TOP
    for key in keys:
        bottom = top + room * WEIGHTS[key] / whole
        charts[key] = Box(left, round(top * height), right, round(bottom * height))
        top = bottom + BETWEEN
    short = min(width, height)
    body = BODY * short
    inner = width - 2 * left
    return Layout(
        width, height,
        Box(0, 0, width, round(HEADER * height)), Box(0, round(CAPTION * height), width, height),
        charts, body, CAPTION_TITLE * short, CLOCK * short,
        max(int(inner / (CHARACTER * CAPTION_TITLE * short)), 12),
    )  # fmt: skip
