"""The chart of who fed whom: areas from the supply, hatched areas from the pack."""

from __future__ import annotations

import csv
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.ledger import Feed
from thawline.report.figure import Stage, framed, readings
from thawline.report.lines import moment_text
from thawline.report.numbers import quantity
from thawline.report.palette import palette
from thawline.report.thinning import mean_by_bins

if TYPE_CHECKING:  # bokeh takes half a second to import: only pages with charts pay for it
    from bokeh.plotting import figure as Figure  # noqa: N812  # bokeh names a class in lower case

#: Bins that the areas are averaged into at most [1].
BINS = 720
HEIGHT = 230
#: Shares that come to less are left out [kWh].
LEAST_KWH = 0.005
#: Room above the highest stack [share], and the least height of the axis [kW].
ROOM, LEAST_KW = 1.06, 1.0

Floats = NDArray[np.float64]


@cache
def _rows() -> tuple[dict[str, str], ...]:
    text = files("thawline.report").joinpath("feeding.csv").read_text("utf-8")
    return tuple(csv.DictReader(text.splitlines()))


def shares_of(feed: Feed) -> list[tuple[str, str, bool, Floats]]:
    """List the shares in the order in which they are stacked.

    Parameters
    ----------
    feed : Feed
        Who fed whom.

    Returns
    -------
    list of tuple
        Label, colour, whether it comes from the pack, and power on the feed's clock [kW].
        Shares that come to nothing or are unknown are left out.
    """
    shares = []
    step_h = float(np.median(np.diff(feed.t))) / 3600.0 if len(feed.t) > 1 else 0.0
    for from_pack, fed in ((False, feed.supply_to), (True, feed.pack_to)):
        for row in _rows():
            kW = fed.get(row["share"])
            if kW is not None and np.nansum(kW) * step_h >= LEAST_KWH:
                shares.append((row["label"], row["colour"], from_pack, kW))
    return shares


def feeding_chart(feed: Feed, stage: Stage) -> Figure | None:
    """Draw who fed whom.

    Parameters
    ----------
    feed : Feed
        Who fed whom.
    stage : Stage
        What all charts share.

    Returns
    -------
    figure or None
        The chart; None where nothing was fed.
    """
    from bokeh.models import Range1d

    shares = shares_of(feed)
    if not shares:
        return None
    t, stacked = _binned(feed, shares)
    known = np.any(~np.isnan(stacked), axis=0)
    tops = np.cumsum([np.maximum(np.nan_to_num(kW), 0.0) for kW in stacked], axis=0)
    high = max(float(tops[-1].max()) * ROOM, LEAST_KW)
    drawn = framed(stage, HEIGHT, Range1d(start=0.0, end=high), "feeding")
    x = (t - stage.moments.zero_s) / 60.0
    below = np.zeros_like(x)
    for (_, colour, from_pack, _), top in zip(shares, tops, strict=True):
        _draw_area(drawn, x, below, top, known, colour, from_pack)
        below = top
    return drawn


def _binned(feed: Feed, shares: list[tuple[str, str, bool, Floats]]) -> tuple[Floats, list[Floats]]:
    """Average times and shares over bins."""
    width = -(-len(feed.t) // BINS)
    return mean_by_bins(feed.t, width), [mean_by_bins(kW, width) for _, _, _, kW in shares]


def _runs(known: NDArray[np.bool_]) -> list[slice]:
    """Find the stretches without a break."""
    edges = np.flatnonzero(np.diff(np.concatenate(([0], known.astype(np.int8), [0]))))
    return [slice(begin, end) for begin, end in zip(edges[::2], edges[1::2], strict=True)]


def _draw_area(
    drawn: Figure,
    x: Floats,
    below: Floats,
    top: Floats,
    known: NDArray[np.bool_],
    colour: str,
    from_pack: bool,
) -> None:
    from bokeh.models import ColumnDataSource

    paint = palette()[colour].on_paper
    runs = [run for run in _runs(known) if np.any(top[run] > below[run])]
    xs = [np.concatenate((x[run], x[run][::-1])).astype(np.float32) for run in runs]
    ys = [np.concatenate((below[run], top[run][::-1])).astype(np.float32) for run in runs]
    source = ColumnDataSource({"xs": xs, "ys": ys})
    area = drawn.patches("xs", "ys", source=source, line_color=None, fill_color=paint)
    area.glyph.fill_alpha = 0.2 if from_pack else 0.65
    if from_pack:
        area.glyph.hatch_pattern = "right_diagonal_line"
        area.glyph.hatch_color = paint
        area.glyph.hatch_scale = 8.0
        area.glyph.hatch_weight = 1.6
    area.glyph.tags = [colour]


def let_cursor_read_feed(drawn: Figure, feed: Feed, stage: Stage) -> None:
    """Let the cursor read all shares at once, in a page that stands alone.

    Parameters
    ----------
    drawn : figure
        The chart as it was drawn.
    feed : Feed
        Who fed whom.
    stage : Stage
        What all charts share.
    """
    shares = shares_of(feed)
    t, stacked = _binned(feed, shares)
    columns: dict[str, Any] = {
        "x": ((t - stage.moments.zero_s) / 60.0).astype(np.float32),
        "y": np.full(len(t), LEAST_KW / 2.0, dtype=np.float32),
        "when": [moment_text(stage, moment) for moment in t],
    }
    rows = [("", "when")]
    for index, ((label, _, from_pack, _), kW) in enumerate(zip(shares, stacked, strict=True)):
        columns[f"v{index}"] = ["–" if v != v else quantity(v, "kW") for v in kW.tolist()]
        rows.append((f"{'pack' if from_pack else 'supply'} to {label}", f"v{index}"))
    readings(drawn, columns, rows)
