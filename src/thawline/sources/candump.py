"""Read logs in candump text, plain or compressed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import polars as pl
from numpy.typing import NDArray

from thawline.errors import SourceError
from thawline.sources.candump_lines import parse_odd, parse_plain, reasons
from thawline.sources.clock import is_epoch
from thawline.sources.frames import EXTENDED, Frames
from thawline.sources.lines import read_lines

#: Flags in an extended identifier, as SocketCAN sets them.
_REMOTE, _ERROR = np.uint32(0x4000_0000), np.uint32(0x2000_0000)
#: A log cannot have more buses than a byte can number [1].
MOST_BUSES = 255


def read_candump(
    path: Path, *, progress: Callable[[int, int], None] | None = None
) -> Iterator[Frames]:
    """Read a candump log in batches.

    Lines that are no classic data frames are counted in ``left_out``: FD, remote and error
    frames, and all that cannot be read. Blank lines are passed over.

    Parameters
    ----------
    path : Path
        The log; gzip and zstd archives are unpacked on the way.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Yields
    ------
    Frames
        Batches of up to half a million lines.

    Raises
    ------
    SourceError
        If the file cannot be read, or holds no data frame at all.
    """
    buses: dict[str, int] = {}
    epoch: bool | None = None
    left_out: dict[str, int] = {}
    for lines, broke_off in read_lines(path, progress=progress):
        frame, other = parse_plain(lines)
        more = {"unreadable": 1} if broke_off else {}
        if len(other):
            odd = parse_odd(other)
            frame = pl.concat([frame, odd]).sort("row") if len(odd) else frame
            rest = other.join(odd.select("row"), on="row", how="anti")
            more = _sum(more, reasons(rest))
        identifier = frame["identifier"].to_numpy()
        flagged = ((identifier & EXTENDED) != 0) & ((identifier & (_REMOTE | _ERROR)) != 0)
        if flagged.any():
            errors = int(np.count_nonzero(identifier[flagged] & _ERROR))
            more = _sum(more, {"error": errors, "remote": int(flagged.sum()) - errors})
            frame = frame.filter(~flagged)
            identifier = identifier[~flagged]
        bus, known = _number(frame["bus"], buses)
        if not known.all():
            more = _sum(more, {"unreadable": int((~known).sum())})
            frame, identifier, bus = frame.filter(known), identifier[known], bus[known]
        if epoch is None and len(frame):
            epoch = is_epoch(float(frame["t"][0]))
        left_out = _sum(left_out, more)
        yield Frames(
            t=frame["t"].to_numpy(),
            identifier=identifier,
            bus=bus,
            buses=tuple(buses),
            length=frame["length"].to_numpy(),
            data=_payloads(frame["word"].to_numpy(), frame["length"].to_numpy()),
            left_out=more,
            is_epoch=bool(epoch),
        )
    if epoch is None:
        raise _nothing(path, left_out)


def _payloads(number: NDArray[np.uint64], length: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Write payloads, read as one number each, as eight bytes with zeros behind."""
    missing = (8 * (8 - length)).astype(np.uint64)
    # an empty payload would be shifted by a whole word, which is undefined; it is zero anyway
    return (number << np.minimum(missing, 63)).astype(">u8").view(np.uint8).reshape(-1, 8)


def _sum(one: dict[str, int], other: dict[str, int]) -> dict[str, int]:
    total = {key: one.get(key, 0) + other.get(key, 0) for key in {**one, **other}}
    return {key: count for key, count in total.items() if count}


def _number(names: pl.Series, buses: dict[str, int]) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Give each bus its number; new ones are added while numbers last."""
    for name in names.unique(maintain_order=True):
        if name not in buses and len(buses) < MOST_BUSES:
            buses[name] = len(buses)
    if len(buses) == 1:
        known = np.ones(len(names), dtype=bool)
        return np.zeros(len(names), dtype=np.uint8), known
    number = names.replace_strict(
        list(buses), list(buses.values()), default=None, return_dtype=pl.UInt8
    )
    return number.fill_null(0).to_numpy(), number.is_not_null().to_numpy()


def _nothing(path: Path, left_out: dict[str, int]) -> SourceError:
    counted = ", ".join(f"{count} {reason}" for reason, count in sorted(left_out.items()))
    return SourceError(
        "the log holds no data frame"
        + (f" (lines left out: {counted})" if counted else ", only blank lines"),
        file=path,
        cure="Record again with the bus awake, and check that the listener's bit rate is the bus's",
    )
