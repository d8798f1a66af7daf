"""Samples as one Parquet file: clocks first, then values, each a numbered series.

Signals of one message share their times, so a clock that several channels share is kept once.
"""

from __future__ import annotations

import errno
import hashlib
import io
import zlib
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from pathlib import Path
from typing import IO

import numpy as np
from numpy.typing import NDArray

from thawline.errors import LibraryError
from thawline.recording.recording import Channel
from thawline.recording.spill import let_go, unnamed_file

#: Rows that are compressed and skipped together [1].
ROW_GROUP = 100_000
#: Compression level; higher ones take twice the time for a hundredth of the size [1].
LEVEL = 1
#: Samples from which on a file is written piece by piece rather than in memory [1].
MANY = 8_000_000
#: Bytes read at once [byte].
CHUNK = 1 << 20


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
        key = hashlib.blake2b(t.data.cast("B") if len(t) else b"").digest()
        let_go(t)
        if key not in numbers:
            numbers[key] = len(clocks)
            clocks.append(t)
        used.append((channel, numbers[key]))
    places = {c.path: (clock, len(clocks) + i) for i, (c, clock) in enumerate(used)}
    return clocks + [np.asarray(c.values, dtype=np.float64) for c, _ in used], places


def to_parquet(series: Sequence[NDArray[np.float64]], scratch: Path | None = None) -> IO[bytes]:
    """Write numbered series as a Parquet file.

    Parameters
    ----------
    series : sequence of ndarray of float64
        The series; their places in the list are their numbers [unit].
    scratch : Path, optional
        Where a large file is written; None: where the system has temporary files.

    Returns
    -------
    file
        The file at its beginning: columns ``series`` and ``x``, in order of ``series``. It is in
        memory or vanishes when it is closed.
    """
    import polars as pl  # heavy; only those who read or write samples pay for it

    if sum(map(len, series)) > MANY:
        large = unnamed_file(scratch)
        _sink(series, large)
        large.seek(0)
        return large
    numbers = np.repeat(np.arange(len(series), dtype=np.uint32), [len(s) for s in series])
    rows = pl.DataFrame(
        {"series": numbers, "x": np.concatenate([np.empty(0, dtype=np.float64), *series])}
    )
    file = io.BytesIO()
    rows.write_parquet(file, compression="zstd", compression_level=LEVEL, row_group_size=ROW_GROUP)
    file.seek(0)
    return file


def _sink(series: Sequence[NDArray[np.float64]], file: IO[bytes]) -> None:
    """Write the same file piece by piece, so that memory stays flat."""
    import polars as pl
    from polars.io.plugins import register_io_source

    def pieces(*_: object) -> Iterator[pl.DataFrame]:
        for number, x in enumerate(series):
            for begin in range(0, len(x), ROW_GROUP):
                piece = x[begin : begin + ROW_GROUP]
                numbers = np.full(len(piece), number, dtype=np.uint32)
                yield pl.DataFrame({"series": numbers, "x": piece})
            let_go(x)

    rows = register_io_source(
        pieces, schema={"series": pl.UInt32, "x": pl.Float64}, validate_schema=False, is_pure=True
    )
    try:
        rows.sink_parquet(
            file, compression="zstd", compression_level=LEVEL, row_group_size=ROW_GROUP
        )
    except pl.exceptions.PolarsError as error:  # it wraps what the system said
        raise OSError(errno.EIO, str(error)) from error


def check_sum(file: IO[bytes]) -> int:
    """Sum up a file's content, to notice damage on the disk.

    Parameters
    ----------
    file : file
        The file; it is read from its beginning and left there.

    Returns
    -------
    int
        CRC-32 of the content [1].
    """
    total = 0
    file.seek(0)
    while chunk := file.read(CHUNK):
        total = zlib.crc32(chunk, total)
    file.seek(0)
    return total


def check(path: Path, sum_kept: int) -> None:
    """Make sure that a file is there and undamaged.

    Parameters
    ----------
    path : Path
        The file.
    sum_kept : int
        Its ``check_sum`` when it was written [1].

    Raises
    ------
    LibraryError
        If the file is missing or damaged.
    """
    try:
        with path.open("rb") as file:
            found = check_sum(file)
    except OSError as error:
        raise LibraryError(
            f"the samples {path} cannot be read: {error.strerror}. If another program removed "
            "the recording meanwhile, that is why; else add its log again."
        ) from error
    if found != sum_kept:
        raise _damaged(path)


def _damaged(path: Path) -> LibraryError:
    return LibraryError(
        f"the samples {path} are damaged. Remove the recording and add its log again."
    )


def from_parquet(
    path: Path, lengths: Mapping[int, int], wanted: Collection[int]
) -> dict[int, NDArray[np.float64]]:
    """Read numbered series from a Parquet file.

    Parameters
    ----------
    path : Path
        The file, which ``check`` found undamaged.
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

    lazy = pl.scan_parquet(path, glob=False)
    if len(wanted) < len(lengths):
        lazy = lazy.filter(pl.col("series").is_in(sorted(wanted)))
    try:
        rows = lazy.collect()
    except (OSError, pl.exceptions.PolarsError) as error:
        raise _damaged(path) from error
    numbers = rows["series"].to_numpy()
    x = rows["x"].to_numpy().view()
    x.flags.writeable = False
    sought = np.array(sorted(wanted), dtype=numbers.dtype)  # another type would copy numbers
    begins = np.searchsorted(numbers, sought, side="left")
    ends = np.searchsorted(numbers, sought, side="right")
    if any(ends - begins != [lengths[int(number)] for number in sought]):
        raise _damaged(path)
    return {
        int(number): x[begin:end] for number, begin, end in zip(sought, begins, ends, strict=True)
    }
