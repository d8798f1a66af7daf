"""Read raw bus frames from MDF 4."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np
from numpy.typing import NDArray

from thawline.sources.frames import EXTENDED, Frames
from thawline.sources.mdf import DATA_FRAME, OTHER_FRAMES, groups_with, opened, quiet, starts_at
from thawline.sources.mdf_soundness import check_lengths
from thawline.sources.merging import Piece, merged
from thawline.sources.no_frames import add_counts, no_data_frame
from thawline.sources.payloads import BYTES_BY_CODE, CLASSIC, WIDEST, cleared, width_for

if TYPE_CHECKING:
    from asammdf import MDF

#: Records in a batch over all groups, and at least in each group [1].
BATCH, LEAST = 500_000, 20_000
#: Identifiers have 29 bits; some writers set bit 31 for extended ones.
_NUMBER = np.uint32(0x1FFF_FFFF)


def read_mdf_frames(
    path: Path, *, progress: Callable[[int, int], None] | None = None
) -> Iterator[Frames]:
    """Read the frames of an MDF 4 bus log in batches, those of several groups in time order.

    Parameters
    ----------
    path : Path
        The file.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Yields
    ------
    Frames
        Batches of about half a million frames.

    Raises
    ------
    SourceError
        If the file is broken or cut off, or holds no data frame.
    """
    total = path.stat().st_size
    with opened(path) as mdf:
        start, epoch = starts_at(mdf)
        groups = groups_with(mdf, (DATA_FRAME,))
        left_out = {
            reason: sum(g.channel_group.cycles_nr for _, g in groups_with(mdf, (name,)))
            for name, reason in OTHER_FRAMES.items()
        }
        records = sum(group.channel_group.cycles_nr for _, group in groups)
        size = max(LEAST, BATCH // max(len(groups), 1))
        buses: dict[str, int] = {}
        done = found = 0
        total_left_out: dict[str, int] = {}
        for piece in merged([_pieces(mdf, index, size, buses) for index, _ in groups]):
            done += len(piece.t) + sum(piece.left_out.values())
            found += len(piece.t)
            counts = {**left_out, **piece.left_out}
            total_left_out, left_out = add_counts(total_left_out, counts), {}
            yield Frames(
                t=piece.t + start,
                identifier=piece.identifier,
                bus=piece.bus,
                buses=tuple(buses),
                length=piece.length,
                data=piece.data,
                left_out={reason: count for reason, count in counts.items() if count},
                is_epoch=epoch,
            )
            if progress is not None:
                progress(min(total, total * done // max(records, 1)), total)
        if not found:
            raise no_data_frame(path, add_counts(total_left_out, left_out))


def _pieces(mdf: MDF, group: int, size: int, buses: dict[str, int]) -> Iterator[Piece]:
    """Read one group piece by piece."""
    check_lengths(mdf, group)
    for offset in range(0, mdf.groups[group].channel_group.cycles_nr, size):
        with quiet():
            signal = mdf.get(
                DATA_FRAME, group=group, record_offset=offset, record_count=size, raw=True
            )
        fields = signal.samples
        count = len(fields)
        if not count:
            raise ValueError(f"records from {offset} on are missing")
        number = _field(fields, "ID", None).astype(np.uint32)
        extended = _field(fields, "IDE", number >> np.uint32(31)).astype(bool)
        data, length = _payload(fields, count)
        channel = _field(fields, "BusChannel", np.ones(count, np.uint8)).astype(np.uint8)
        t = signal.timestamps.astype(np.float64)
        timed = np.isfinite(t)
        keep = slice(None) if timed.all() else timed
        yield Piece(
            t=t[keep],
            identifier=((number & _NUMBER) | np.where(extended, EXTENDED, np.uint32(0)))[keep],
            bus=_buses(channel, buses)[keep],
            length=length[keep],
            data=np.ascontiguousarray(data[keep]),
            left_out=add_counts({}, {"unreadable": int((~timed).sum())}),
        )


def _field(
    fields: NDArray[np.void], name: str, default: NDArray[np.generic] | None
) -> NDArray[np.generic]:
    """Give one member of the frame's structure."""
    full = f"{DATA_FRAME}.{name}"
    if full in (fields.dtype.names or ()):
        return np.asarray(fields[full])
    if default is None:
        raise ValueError(f"the frames have no {name}")
    return default


def _payload(fields: NDArray[np.void], count: int) -> tuple[NDArray[np.uint8], NDArray[np.uint8]]:
    """Give payloads as wide as the longest needs, zero beyond their length, and lengths."""
    raw = _field(fields, "DataBytes", np.zeros((count, CLASSIC), np.uint8))
    if raw.ndim == 1:  # bytes of one length, as text
        raw = raw.astype(f"V{max(raw.dtype.itemsize, 1)}").view(np.uint8).reshape(count, -1)
    length = np.minimum(_lengths(fields, count, raw.shape[1]), min(WIDEST, raw.shape[1]))
    short = length.astype(np.uint8)
    width = width_for(int(short.max()))
    data = np.zeros((count, width), np.uint8)
    there = min(width, raw.shape[1])
    data[:, :there] = raw[:, :there]
    return cleared(data, short), short


def _lengths(fields: NDArray[np.void], count: int, width: int) -> NDArray[np.integer[Any]]:
    """Give the lengths that the frames state, in bytes or as a length code."""
    if f"{DATA_FRAME}.DataLength" in (fields.dtype.names or ()):
        return _field(fields, "DataLength", None).astype(np.int64)
    if f"{DATA_FRAME}.DLC" not in (fields.dtype.names or ()):
        return np.full(count, width)
    code = np.minimum(_field(fields, "DLC", None), len(BYTES_BY_CODE) - 1).astype(np.intp)
    flexible = _field(fields, "EDL", np.zeros(count, np.uint8)).astype(bool)
    length: NDArray[np.intp] = np.array(BYTES_BY_CODE, dtype=np.intp)[code]
    return np.where(flexible, length, np.minimum(code, CLASSIC))


def _buses(channel: NDArray[np.uint8], buses: dict[str, int]) -> NDArray[np.uint8]:
    """Give the buses numbers in the order in which they appear."""
    table = np.zeros(256, np.uint8)
    for number in np.unique(channel).tolist():
        table[number] = buses.setdefault(f"CAN{number}", len(buses))
    return table[channel]
