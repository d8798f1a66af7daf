"""Read BLF logs: containers of packed objects."""

from __future__ import annotations

import struct
import zlib
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import BinaryIO

import deflate
import numpy as np

from thawline.errors import SourceError
from thawline.sources.blf_objects import SIGNATURE, find_objects, read_objects
from thawline.sources.clock import is_epoch
from thawline.sources.frames import Frames
from thawline.sources.no_frames import add_counts, no_data_frame

#: The file's header: signature, its size, then (after 32 bytes) the start as eight numbers.
_FILE = struct.Struct("<4sL")
_START_AT, _START = 40, struct.Struct("<8H")
#: An object's start: signature, sizes, type; a container's: how it is packed.
_OBJECT, _CONTAINER = struct.Struct("<4sHHLL"), struct.Struct("<H6xL4x")
#: Type of containers, and how they are packed.
CONTAINER, PLAIN, DEFLATED = 10, 0, 2
#: Unpacked bytes that are read at a time; about 120,000 frames, which caches hold [byte].
BATCH_BYTES = 6 << 20
#: No container unpacks to more than this [byte].
MOST_BYTES = 1 << 28


def read_blf(path: Path, *, progress: Callable[[int, int], None] | None = None) -> Iterator[Frames]:
    """Read a BLF log in batches.

    Parameters
    ----------
    path : Path
        The log.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Yields
    ------
    Frames
        Batches of about 120,000 frames. A log that breaks off is read as far as it
        goes, and the break is counted as unreadable.

    Raises
    ------
    SourceError
        If the file is broken at its start, or holds no data frame.
    """
    total = path.stat().st_size
    buses: dict[str, int] = {}
    total_left_out: dict[str, int] = {}
    found = 0
    with path.open("rb") as file:
        start = _read_start(file, path)
        epoch = is_epoch(start)
        rest = b""
        for content, broke_off in _batches(file):
            stretch = np.frombuffer(rest + content if rest else content, dtype=np.uint8)
            starts, until = find_objects(stretch)
            rest = stretch[until:].tobytes()
            piece = read_objects(stretch, starts, buses)
            left_out = dict(piece.left_out)
            if broke_off:
                left_out["unreadable"] = left_out.get("unreadable", 0) + 1
            total_left_out = add_counts(total_left_out, left_out)
            found += len(piece.t)
            yield Frames(
                t=piece.t + (start if epoch else 0.0),
                identifier=piece.identifier,
                bus=piece.bus,
                buses=tuple(buses),
                length=piece.length,
                data=piece.data,
                left_out=left_out,
                is_epoch=epoch,
            )
            if progress is not None:
                progress(min(file.tell(), total), total)
    if not found:
        raise no_data_frame(path, total_left_out)


def _read_start(file: BinaryIO, path: Path) -> float:
    """Read the header; give the start since 1970, or 0 if it states none."""
    head = file.read(_START_AT + _START.size)
    if len(head) < _START_AT + _START.size:
        raise SourceError("this BLF file is cut off", file=path, cure="Copy it again")
    _, size = _FILE.unpack_from(head)
    year, month, _, day, hour, minute, second, ms = _START.unpack_from(head, _START_AT)
    file.seek(max(size, len(head)))
    try:
        stated = datetime(year, month, day, hour, minute, second, ms * 1000, tzinfo=UTC)
    except ValueError:
        return 0.0
    return stated.timestamp()


def _batches(file: BinaryIO) -> Iterator[tuple[bytes, bool]]:
    """Unpack containers and gather them; say whether the file breaks off."""
    gathered: list[bytes] = []
    size = 0
    for content in _containers(file):
        if content is None:
            yield b"".join(gathered), True
            return
        gathered.append(content)
        size += len(content)
        if size >= BATCH_BYTES:
            yield b"".join(gathered), False
            gathered, size = [], 0
    yield b"".join(gathered), False


def _containers(file: BinaryIO) -> Iterator[bytes | None]:
    """Give what each container holds, and None where the file breaks off."""
    while head := file.read(_OBJECT.size):
        if len(head) < _OBJECT.size:
            yield None
            return
        signature, _, _, size, kind = _OBJECT.unpack(head)
        if signature != SIGNATURE or size < _OBJECT.size:
            yield None
            return
        body = file.read(min(size, MOST_BYTES) - _OBJECT.size)
        file.seek(size % 4, 1)
        if len(body) < size - _OBJECT.size:
            yield None
            return
        if kind != CONTAINER:
            yield head + body
            continue
        if len(body) < _CONTAINER.size:
            yield None
            return
        packing, unpacked = _CONTAINER.unpack_from(body)
        packed = body[_CONTAINER.size :]
        if packing == PLAIN:
            yield packed
        elif packing == DEFLATED:
            content = _inflated(packed, unpacked)
            yield content
            if content is None:
                return


def _inflated(packed: bytes, size: int) -> bytes | None:
    """Unpack what one container holds; None if it is damaged."""
    if 0 < size <= MOST_BYTES:
        try:
            return bytes(deflate.zlib_decompress(packed, size))
        except deflate.DeflateError:
            pass  # a size that is stated wrongly, or damage: the slower way tells
    try:
        return zlib.decompressobj().decompress(packed, MOST_BYTES)
    except zlib.error:
        return None
