"""Hold more samples than memory: growing series on disk, and finished arrays mapped from it.

The files have no name where the system allows that, so a kill leaves nothing behind. Small
logs never touch the disk.
"""

from __future__ import annotations

import mmap
import tempfile
from collections.abc import Hashable
from dataclasses import dataclass
from pathlib import Path
from typing import IO, Any

import numpy as np
from numpy.typing import NDArray

from thawline.errors import LibraryError

#: Bytes that are held in memory before anything is written [byte].
HELD_BYTES = 48 << 20
#: Bytes of finished arrays that are held in memory [byte].
SHELF_BYTES = 24 << 20
#: Finished arrays from this size on may be mapped from a file [byte].
LARGE_BYTES = 1 << 20


@dataclass(frozen=True, slots=True)
class _Written:
    """Where a part of a series stands in the file."""

    at: int
    count: int


class Spill:
    """Series that grow part by part.

    Parameters
    ----------
    folder : Path, optional
        Where the file is made if there is need for one; None: where the system has them.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder
        self._file: IO[bytes] | None = None
        self._series: dict[Hashable, list[NDArray[np.float64] | _Written]] = {}
        self._pending: dict[int, NDArray[np.float64]] = {}
        self._places: list[tuple[list[NDArray[np.float64] | _Written], int]] = []
        self._held = 0

    def append(self, key: Hashable, part: NDArray[np.float64]) -> None:
        """Put a part behind a series; one array under several keys is kept once.

        Parameters
        ----------
        key : hashable
            Name of the series.
        part : ndarray of float64, shape (n,)
            The part; it must not be changed any more [unit].

        Raises
        ------
        LibraryError
            If the disk is full.
        """
        series = self._series.setdefault(key, [])
        if not len(part):
            return
        series.append(part)
        self._places.append((series, len(series) - 1))
        if id(part) not in self._pending:
            self._pending[id(part)] = part
            self._held += part.nbytes
        if self._held > HELD_BYTES:
            self._write()

    def take(self, key: Hashable) -> NDArray[np.float64]:
        """Give a whole series.

        Parameters
        ----------
        key : hashable
            Name of the series.

        Returns
        -------
        ndarray of float64, shape (n,)
            A fresh array; empty for a series that nothing was put behind [unit].
        """
        parts = self._series.get(key, [])
        counts = [part.count if isinstance(part, _Written) else len(part) for part in parts]
        whole = np.empty(sum(counts), dtype=np.float64)
        begin = 0
        for part, count in zip(parts, counts, strict=True):
            if isinstance(part, _Written):
                self._read(part, whole[begin : begin + count])
            else:
                whole[begin : begin + count] = part
            begin += count
        return whole

    def free(self) -> None:
        """Write what memory still holds, if anything was written before."""
        if self._file is not None:
            self._write()

    def close(self) -> None:
        """Forget all series and delete the file."""
        self._series, self._pending, self._places, self._held = {}, {}, [], 0
        if self._file is not None:
            self._file.close()
            self._file = None

    def _write(self) -> None:
        if self._file is None:
            self._file = unnamed_file(self._folder)
        written = {
            number: _Written(_append(self._file, part), len(part))
            for number, part in self._pending.items()
        }
        for series, place in self._places:
            series[place] = written[id(series[place])]
        self._pending, self._places, self._held = {}, [], 0

    def _read(self, part: _Written, target: NDArray[np.float64]) -> None:
        assert self._file is not None, "what was written is in the file"
        self._file.seek(part.at)
        content = target.data.cast("B")
        while content:
            content = content[self._file.readinto(content) :]  # type: ignore[attr-defined] # not hinted


class Shelf:
    """Finished arrays: the first ones stay in memory, others are mapped from a file.

    Parameters
    ----------
    folder : Path, optional
        Where the file is made if there is need for one; None: where the system has them.
    """

    def __init__(self, folder: Path | None = None) -> None:
        self._folder = folder
        self._file: IO[bytes] | None = None
        self._held = 0

    def put(self, array: NDArray[np.float64]) -> NDArray[np.float64]:
        """Keep an array.

        Parameters
        ----------
        array : ndarray of float64, shape (n,)
            The array [unit].

        Returns
        -------
        ndarray of float64, shape (n,)
            The same numbers; the file lives as long as an array needs it [unit].

        Raises
        ------
        LibraryError
            If the disk is full.
        """
        if array.nbytes < LARGE_BYTES or self._held + array.nbytes <= SHELF_BYTES:
            self._held += array.nbytes
            return array
        if self._file is None:
            self._file = unnamed_file(self._folder)
        at = _append(self._file, array)
        self._file.flush()
        mapped: NDArray[np.float64] = np.memmap(
            self._file, np.float64, "r", offset=at, shape=array.shape
        )
        return mapped.view(np.ndarray)

    def close(self) -> None:
        """Take no more arrays; those that are mapped stay."""
        if self._file is not None:
            self._file.close()
            self._file = None


def let_go(array: NDArray[Any]) -> None:
    """Free the memory that a mapped array takes; it is read again when it is needed.

    Parameters
    ----------
    array : ndarray
        Any array; nothing is done if it is in memory for good [unit].
    """
    base: Any = array
    while isinstance(base, np.ndarray):
        base = base.base
    if isinstance(base, mmap.mmap) and hasattr(mmap, "MADV_DONTNEED"):
        base.madvise(mmap.MADV_DONTNEED)


def unnamed_file(folder: Path | None) -> IO[bytes]:
    """Open a file that vanishes when it is closed, or when this program ends in any way.

    Parameters
    ----------
    folder : Path or None
        Where; None: where the system has such files.

    Returns
    -------
    file
        For reading and writing.

    Raises
    ------
    LibraryError
        If none can be made.
    """
    try:
        return tempfile.TemporaryFile(dir=folder, prefix="thawline-")
    except OSError as error:
        raise _no_room(error) from error


def _append(file: IO[bytes], array: NDArray[np.float64]) -> int:
    try:
        at = file.seek(0, 2)
        file.write(np.ascontiguousarray(array).data.cast("B"))
    except OSError as error:
        raise _no_room(error) from error
    return at


def _no_room(error: OSError) -> LibraryError:
    return LibraryError(
        f"samples cannot be put aside while the log is read: {error.strerror or error}. Nothing "
        "was added. Make room, or choose another folder with --library or THAWLINE_LIBRARY."
    )
