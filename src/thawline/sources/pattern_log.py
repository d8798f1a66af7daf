"""Read text logs whose frames are lines of one pattern, as ASC and TRC have them."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

from thawline.sources.frames import EXTENDED, Frames
from thawline.sources.lines import read_lines
from thawline.sources.no_frames import add_counts, no_data_frame
from thawline.sources.payloads import CLASSIC, from_hex

#: Digits of the longest standard identifier, and buses that a byte can number [1].
STANDARD_DIGITS, MOST_BUSES = 4, 255
#: Payload bytes by the length code of classic frames, which goes up to 15 [byte].
CLASSIC_SIZES = tuple(min(code, CLASSIC) for code in range(16))


@dataclass(frozen=True, slots=True)
class FramePattern:
    """What a line with a data frame looks like.

    Parameters
    ----------
    text : str
        Pattern with the groups ``id``, ``n`` (says how many bytes) and ``data``, and where
        there are such ``bus`` and ``x`` (marks extended ones).
    base : int
        Base in which ``n`` is written [1].
    sizes : tuple of int
        Payload bytes by ``n``; a line with a higher one holds no frame [byte].
    """

    text: str
    base: int = 16
    sizes: tuple[int, ...] = CLASSIC_SIZES


@dataclass(frozen=True, slots=True)
class LinePattern:
    """What lines of a text log look like.

    Parameters
    ----------
    frames : tuple of FramePattern
        Patterns of data frames; the first that fits counts.
    clock : str
        Pattern whose first group is the time of any line that has one.
    tick_s : float
        What the unit of time is [s].
    start_s : float
        Time of the log's zero since 1970-01-01 UTC; 0 if it states none [s].
    is_stepwise : bool
        Whether each time counts from the line before.
    reasons : mapping of str to str
        Patterns of lines that are left out, by reason; the first that fits counts.
    """

    frames: tuple[FramePattern, ...]
    clock: str
    tick_s: float
    start_s: float
    is_stepwise: bool = False
    reasons: Mapping[str, str] = field(default_factory=dict)


def read_pattern_log(
    path: Path, pattern: LinePattern, *, progress: Callable[[int, int], None] | None = None
) -> Iterator[Frames]:
    """Read a text log in batches.

    Parameters
    ----------
    path : Path
        The log; gzip and zstd archives are unpacked on the way.
    pattern : LinePattern
        What its lines look like.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Yields
    ------
    Frames
        Batches of up to 150,000 lines.

    Raises
    ------
    SourceError
        If the file cannot be read, or holds no data frame.
    """
    buses: dict[str, int] = {}
    left_out: dict[str, int] = {}
    found, clock = 0, 0.0
    for lines, broke_off in read_lines(path, progress=progress):
        frame = pl.DataFrame({"line": lines.fill_null("")}).with_row_index("row")
        times = frame["line"].str.extract(pattern.clock, 1).cast(pl.Float64, strict=False)
        if pattern.is_stepwise:
            times = times.fill_null(0.0).cum_sum() + clock
            clock = float(times[-1]) if len(times) else clock
        frame = frame.with_columns(times.alias("t"))
        good, other = _parse_all(frame, pattern.frames)
        bus, known = _number(good["bus"], buses)
        more = add_counts(_count(other, pattern.reasons), {"unreadable": int((~known).sum())})
        more = add_counts(more, {"unreadable": 1} if broke_off else {})
        good = good.filter(known)
        left_out, found = add_counts(left_out, more), found + len(good)
        identifier = good["identifier"].to_numpy().astype(np.uint32)
        extended = np.where(good["extended"].to_numpy(), EXTENDED, np.uint32(0))
        length = good["length"].to_numpy()
        yield Frames(
            t=good["t"].to_numpy() * pattern.tick_s + pattern.start_s,
            identifier=identifier | extended,
            bus=bus[known],
            buses=tuple(buses),
            length=length,
            data=from_hex(good["payload"], length),
            left_out=more,
            is_epoch=pattern.start_s > 0.0,
        )
    if not found:
        raise no_data_frame(path, left_out)


def _parse_all(
    lines: pl.DataFrame, patterns: Sequence[FramePattern]
) -> tuple[pl.DataFrame, pl.Series]:
    """Take frames out of lines, trying one pattern after the other; give the other lines too."""
    found = []
    for pattern in patterns:
        good, is_frame = _parse(lines, pattern)
        found.append(good)
        if is_frame.all():
            lines = lines.clear()
            break
        lines = lines.filter(~is_frame)
    filled = [good for good in found if len(good)]
    frames = pl.concat(filled).sort("row") if len(filled) > 1 else (filled or found)[0]
    return frames, lines["line"]


def _parse(lines: pl.DataFrame, pattern: FramePattern) -> tuple[pl.DataFrame, pl.Series]:
    """Take frames of one kind out of lines; tell which lines these are."""
    groups = lines.with_columns(pl.col("line").str.extract_groups(pattern.text).alias("g")).select(
        "row", "t", pl.col("g").struct.unnest()
    )
    for name, default in (("bus", "1"), ("x", None)):
        if name not in groups.columns:
            there = pl.col("id").is_not_null()
            groups = groups.with_columns(pl.when(there).then(pl.lit(default)).alias(name))
    stated = pl.col("n").str.to_integer(base=pattern.base, dtype=pl.Int64, strict=False)
    size = stated.replace_strict(dict(enumerate(pattern.sizes)), default=None)
    payload = pl.col("data").str.replace_all(r"\s", "").str.slice(0, 2 * pl.col("size"))
    parsed = (
        groups.with_columns(size.alias("size"))
        .with_columns(payload.alias("payload"))
        .select(
            "row",
            "t",
            "bus",
            pl.col("id").str.to_integer(base=16, dtype=pl.UInt32, strict=False).alias("identifier"),
            pl.when(pl.col("x").is_null())
            .then(pl.col("id").str.len_bytes() > STANDARD_DIGITS)
            .otherwise(pl.col("x") == "x")
            .alias("extended"),
            pl.col("size").cast(pl.UInt8).alias("length"),
            pl.when(pl.col("payload").str.len_bytes() == 2 * pl.col("size"))
            .then(pl.col("payload"))
            .alias("payload"),
        )
    )
    highest = pl.when(pl.col("extended")).then(0x1FFF_FFFF).otherwise(0x7FF)
    good = parsed.select(
        good=(
            pl.col("t").is_finite()
            & (pl.col("identifier") <= highest)
            & pl.col("payload").is_not_null()
            & pl.col("bus").is_not_null()
        ).fill_null(False)
    )["good"]
    return parsed.filter(good), good


def _count(lines: pl.Series, reasons: Mapping[str, str]) -> dict[str, int]:
    counts = {}
    for reason, pattern in reasons.items():
        match = lines.str.contains(pattern)
        counts[reason] = int(match.sum())
        lines = lines.filter(~match)
    return counts


def _number(names: pl.Series, buses: dict[str, int]) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Give each bus its number; new ones are added while numbers last."""
    for name in names.unique(maintain_order=True):
        if len(buses) < MOST_BUSES:
            buses.setdefault(f"CAN{name}", len(buses))
    number = ("CAN" + names).replace_strict(
        list(buses), list(buses.values()), default=None, return_dtype=pl.UInt8
    )
    return number.fill_null(0).to_numpy(), number.is_not_null().to_numpy()
