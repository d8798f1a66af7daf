"""Read logs in candump text, plain or compressed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import polars as pl
from numpy.typing import NDArray

from thawline.sources.candump_block import parse_block
from thawline.sources.candump_flexible import parse_flexible
from thawline.sources.candump_lines import parse_odd, parse_plain, reasons
from thawline.sources.chunks import read_chunks
from thawline.sources.clock import is_epoch
from thawline.sources.frames import EXTENDED, Frames
from thawline.sources.lines import BYTE_ORDER_MARK, as_lines
from thawline.sources.no_frames import add_counts, no_data_frame
from thawline.sources.payloads import from_words, stacked, widened

#: Flags in an extended identifier, as SocketCAN sets them.
_REMOTE, _ERROR = np.uint32(0x4000_0000), np.uint32(0x2000_0000)
#: Bytes of a block that are parsed at a time [byte].
PART_BYTES = 3 << 19
#: A log cannot have more buses than a byte can number [1].
MOST_BUSES = 255


def read_candump(
    path: Path, *, progress: Callable[[int, int], None] | None = None
) -> Iterator[Frames]:
    """Read a candump log in batches.

    Lines that are no data frames are counted in ``left_out``: remote and error frames, and
    all that cannot be read. Blank lines are passed over.

    Parameters
    ----------
    path : Path
        The log; gzip and zstd archives are unpacked on the way.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Yields
    ------
    Frames
        Batches of up to 150,000 lines.

    Raises
    ------
    SourceError
        If the file cannot be read, or holds no data frame at all.
    """
    buses: dict[str, int] = {}
    epoch: bool | None = None
    left_out: dict[str, int] = {}
    is_first = True
    for block, broke_off in read_chunks(path, progress=progress):
        if is_first:
            block, is_first = block.removeprefix(BYTE_ORDER_MARK), False
        frames = _joined([_parse_block(part, buses, epoch) for part in _cut(block)])
        more = add_counts({"unreadable": 1} if broke_off else {}, frames.left_out)
        if len(frames):
            epoch = frames.is_epoch
        left_out = add_counts(left_out, more)
        yield replace(frames, left_out=more)
    if epoch is None:
        raise no_data_frame(path, left_out)


def parse_candump(lines: pl.Series, buses: dict[str, int], epoch: bool | None = None) -> Frames:
    """Parse lines of candump text, of a log or of one that is still growing.

    Parameters
    ----------
    lines : Series of str
        Lines without their ends.
    buses : dict of str to int
        Buses seen so far and their numbers; new ones are added [1].
    epoch : bool, optional
        Whether times count from 1970-01-01 UTC; None: the first frame tells.

    Returns
    -------
    Frames
        Their frames, and counts of what are none.
    """
    return _parse_lines(lines, buses, epoch)[0]


def _parse_block(block: bytes, buses: dict[str, int], epoch: bool | None) -> Frames:
    """Parse a block of lines: the usual ones from their bytes, the others as texts."""
    usual = parse_block(block)
    number = np.array([_numbered(name, buses) for name in usual.names], np.int64)
    bus = number[usual.name] if len(number) else np.zeros(0, np.int64)
    if epoch is None and len(usual.row):
        epoch = is_epoch(float(usual.t[0]))
    frames = Frames(
        usual.t, usual.identifier, bus.astype(np.uint8), tuple(buses), usual.length, usual.data,
        {}, bool(epoch),
    )  # fmt: skip
    if (number < 0).any():
        frames = replace(_at(frames, bus >= 0), left_out={"unreadable": int((bus < 0).sum())})
    if not usual.others:
        return frames
    others, row = _parse_lines(as_lines(usual.others), buses, epoch)
    left_out = add_counts(frames.left_out, others.left_out)
    if not len(others):
        return replace(frames, left_out=left_out)
    rows = np.concatenate([usual.row[bus >= 0], usual.other_row[row]])
    together = Frames(
        np.concatenate([frames.t, others.t]),
        np.concatenate([frames.identifier, others.identifier]),
        np.concatenate([frames.bus, others.bus]),
        tuple(buses),
        np.concatenate([frames.length, others.length]),
        stacked([frames.data, others.data]),
        left_out,
        others.is_epoch if epoch is None else epoch,
    )
    return _at(together, np.argsort(rows, kind="stable"))


def _cut(block: bytes) -> Iterator[bytes]:
    """Cut a block into parts of whole lines whose columns stay in the processor's cache."""
    begin = 0
    while begin + PART_BYTES < len(block):
        end = block.find(b"\n", begin + PART_BYTES) + 1 or len(block)
        yield block[begin:end]
        begin = end
    if begin < len(block) or not block:
        yield block[begin:] if begin else block


def _joined(parts: list[Frames]) -> Frames:
    """Put parts of a batch behind one another; the last one knows all buses."""
    if len(parts) == 1:
        return parts[0]
    left_out: dict[str, int] = {}
    for part in parts:
        left_out = add_counts(left_out, part.left_out)
    return Frames(
        np.concatenate([part.t for part in parts]),
        np.concatenate([part.identifier for part in parts]),
        np.concatenate([part.bus for part in parts]),
        parts[-1].buses,
        np.concatenate([part.length for part in parts]),
        stacked([part.data for part in parts]),
        left_out,
        next((part.is_epoch for part in parts if len(part)), False),
    )


def _at(frames: Frames, rows: NDArray[Any]) -> Frames:
    return replace(
        frames, t=frames.t[rows], identifier=frames.identifier[rows], bus=frames.bus[rows],
        length=frames.length[rows], data=frames.data[rows],
    )  # fmt: skip


def _numbered(name: str, buses: dict[str, int]) -> int:
    """Give a bus its number, a new one while numbers last, else -1."""
    if name not in buses and len(buses) < MOST_BUSES:
        buses[name] = len(buses)
    return buses.get(name, -1)


def _parse_lines(
    lines: pl.Series, buses: dict[str, int], epoch: bool | None
) -> tuple[Frames, NDArray[np.uint32]]:
    """Parse lines as texts; give the frames, and which lines they are."""
    frame, other = parse_plain(lines)
    more: dict[str, int] = {}
    wide = None
    if len(other):
        frame, wide, rest = _with_others(frame, other)
        more = reasons(rest)
    identifier = frame["identifier"].to_numpy()
    flagged = ((identifier & EXTENDED) != 0) & ((identifier & (_REMOTE | _ERROR)) != 0)
    if flagged.any():
        errors = int(np.count_nonzero(identifier[flagged] & _ERROR))
        more = add_counts(more, {"error": errors, "remote": int(flagged.sum()) - errors})
        frame = frame.filter(~flagged)
        identifier = identifier[~flagged]
    bus, known = _number(frame["bus"], buses)
    if not known.all():
        more = add_counts(more, {"unreadable": int((~known).sum())})
        frame, identifier, bus = frame.filter(known), identifier[known], bus[known]
    if epoch is None and len(frame):
        epoch = is_epoch(float(frame["t"][0]))
    frames = Frames(
        t=frame["t"].to_numpy(),
        identifier=identifier,
        bus=bus,
        buses=tuple(buses),
        length=frame["length"].to_numpy(),
        data=_payloads(frame, wide),
        left_out=more,
        is_epoch=bool(epoch),
    )
    return frames, frame["row"].to_numpy()


def _with_others(
    frame: pl.DataFrame, other: pl.DataFrame
) -> tuple[pl.DataFrame, NDArray[np.uint8] | None, pl.DataFrame]:
    """Add the frames of lines that are not plain; give wide payloads, and the lines left."""
    odd = parse_odd(other)
    rest = other.join(odd.select("row"), on="row", how="anti")
    frame = pl.concat([frame, odd]).sort("row") if len(odd) else frame
    if not len(rest):
        return frame, None, rest
    flexible, data = parse_flexible(rest)
    if not len(flexible):
        return frame, None, rest
    rest = rest.join(flexible.select("row"), on="row", how="anti")
    # where the payloads of these frames stand in the array of wide ones
    placed = flexible.with_row_index("wide").with_columns(pl.lit(0, dtype=pl.UInt64).alias("word"))
    return pl.concat([frame, placed], how="diagonal").sort("row"), data, rest


def _payloads(frame: pl.DataFrame, wide: NDArray[np.uint8] | None) -> NDArray[np.uint8]:
    """Write the payloads of a batch, those of wide frames from where they stand."""
    length = frame["length"].to_numpy()
    if wide is None:
        return from_words(frame["word"].to_numpy(), length)
    narrow = frame["wide"].is_null().to_numpy()
    data = np.zeros((len(frame), wide.shape[1]), np.uint8)
    data[~narrow] = wide[frame["wide"].drop_nulls().to_numpy()]
    classic = from_words(frame["word"].to_numpy()[narrow], length[narrow])
    data[narrow] = widened(classic, wide.shape[1])
    return data


def _number(names: pl.Series, buses: dict[str, int]) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Give each bus its number; new ones are added while numbers last."""
    for name in names.unique(maintain_order=True):
        _numbered(name, buses)
    if len(buses) == 1:
        known = np.ones(len(names), dtype=bool)
        return np.zeros(len(names), dtype=np.uint8), known
    number = names.replace_strict(
        list(buses), list(buses.values()), default=None, return_dtype=pl.UInt8
    )
    return number.fill_null(0).to_numpy(), number.is_not_null().to_numpy()
