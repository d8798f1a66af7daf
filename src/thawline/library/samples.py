"""Samples as one Parquet file: clocks first, then values, each a numbered series.

Signals of one message share their times, so a clock that several channels share is kept once.
"""

from __future__ import annotations

import hashlib
import io
import zlib
from collections.abc import Collection, Iterable, Mapping
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thawline.errors import LibraryError
from thawline.recording.recording import Channel

#: Rows that are compressed and skipped together [1].
ROW_GROUP = 100_000
#: Compression level; higher ones take twice the time for a tenth of the size [1].
LEVEL = 3


def lay_out(
    channels: Iterable[Channel],
) -> tuple[list[NDArray[np.float64]], dict[str, tuple[int, int]]]:
    """Lay channels out as numbered series, shared clocks first.

    Parameters
    ----------
    channels : iterable of Channel
        The channels.

    Returns
    -------
    series : list of ndarray of float64
        Clocks, then values.
    places : dict of str to tuple of int
        By path, the numbers of the channel's clock and of its values.
    """
    clocks: list[NDArray[np.float64]] = []
    numbers: dict[bytes, int] = {}
    used: list[tuple[Channel, int]] = []
    for channel in channels:
        t = np.ascontiguousarray(channel.t, dtype=np.float64)
        key = hashlib.blake2b(t.tobytes()).digest()
        if key not in numbers:
            numbers[key] = len(clocks)
            clocks.append(t)
        used.append((channel, numbers[key]))
    places = {c.path: (clock, len(clocks) + i) for i, (c, clock) in enumerate(used)}
    return clocks + [np.asarray(c.values, dtype=np.float64) for c, _ in used], places


def to_parquet(series: list[NDArray[np.float64]]) -> bytes:
    """Write numbered series as a Parquet file.

    Parameters
    ----------
    series : list of ndarray of float64
        The series; their places in the list are their numbers [unit].

    Returns
    -------
    bytes
        The file: columns ``series`` and ``x``, in order of ``series``.
    """
    import polars as pl  # heavy; only those who read or write samples pay for it

    numbers = np.repeat(np.arange(len(series), dtype=np.uint32), [len(s) for s in series])
    rows = pl.DataFrame(
        {"series": numbers, "x": np.concatenate([np.empty(0, dtype=np.float64), *series])}
    )
    file = io.BytesIO()
    rows.write_parquet(file, compression="zstd", compression_level=LEVEL, row_group_size=ROW_GROUP)
    return file.getvalue()


def check_sum(content: bytes) -> int:
    """Sum up a file's content, to notice damage on the disk.

    Parameters
    ----------
    content : bytes
        The content.

    Returns
    -------
    int
        CRC-32 of the content [1].
    """
    return zlib.crc32(content)


def from_parquet(
    path: Path, sum_kept: int, lengths: Mapping[int, int], wanted: Collection[int]
) -> dict[int, NDArray[np.float64]]:
    """Read numbered series from a Parquet file.

    Parameters
    ----------
    path : Path
        The file.
    sum_kept : int
        Its ``check_sum`` when it was written [1].
    lengths : mapping of int to int
        How many samples each series has, by its number [1].
    wanted : collection of int
        The numbers of the series to read [1].

    Returns
    -------
    dict of int to ndarray of float64
        The series wanted, by number; they cannot be written to, as clocks are shared.

    Raises
    ------
    LibraryError
        If the file is missing or damaged.
    """
    import polars as pl  # heavy; only those who read or write samples pay for it

    damaged = f"the samples {path} are damaged. Remove the recording and add its log again."
    try:
        content = path.read_bytes()
    except OSError as error:
        raise LibraryError(
            f"the samples {path} cannot be read: {error.strerror}. If another program removed "
            "the recording meanwhile, that is why; else add its log again."
        ) from error
    if check_sum(content) != sum_kept:
        raise LibraryError(damaged)
    lazy = pl.scan_parquet(io.BytesIO(content))
    if len(wanted) < len(lengths):
        lazy = lazy.filter(pl.col("series").is_in(sorted(wanted)))
    rows = lazy.collect()
    numbers = rows["series"].to_numpy()
    x = rows["x"].to_numpy().view()
    x.flags.writeable = False
    sought = np.array(sorted(wanted), dtype=numbers.dtype)  # another type would copy numbers
    begins = np.searchsorted(numbers, sought, side="left")
    ends = np.searchsorted(numbers, sought, side="right")
    if any(ends - begins != [lengths[int(number)] for number in sought]):
        raise LibraryError(damaged)
    return {
        int(number): x[begin:end] for number, begin, end in zip(sought, begins, ends, strict=True)
    }
