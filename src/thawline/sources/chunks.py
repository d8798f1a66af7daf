"""Read a text file, plain or compressed, as blocks of whole lines."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import IO, Any

import numpy as np

from thawline.errors import SourceError

#: Lines in a block at most, so that memory stays flat [1].
LINES_PER_BATCH = 150_000
#: Bytes read at once from a plain file, about as many as those lines have [byte].
BLOCK_BYTES = 6 << 20
#: Packed bytes unpacked at once; a harmful archive makes at most 128 MB of them [byte].
PACKED_BYTES = 4096
#: No line of any log or table is longer than this [byte].
LONGEST_LINE = 64 << 20
#: How compressed files begin.
GZIP, ZSTD = b"\x1f\x8b", b"\x28\xb5\x2f\xfd"
COMPRESSED = (GZIP, ZSTD)
_NEWLINE = 10


def is_compressed(path: Path) -> bool:
    """Tell whether a file is a gzip or zstd archive, by its first bytes.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    bool
        True if it is one.
    """
    with path.open("rb") as file:
        return file.read(4).startswith(COMPRESSED)


def read_chunks(
    path: Path,
    content: bytes | None = None,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[tuple[bytes, bool]]:
    """Read a file in blocks of whole lines; gzip and zstd archives are unpacked on the way.

    Parameters
    ----------
    path : Path
        The file.
    content : bytes, optional
        Its content where it had to be converted; None: the file itself.
    progress : callable, optional
        Called with the bytes of the file that are done, packed ones for archives, and the
        bytes in all.

    Yields
    ------
    tuple of bytes and bool
        Up to 150,000 lines with their ends, which the last may lack; and whether the file broke
        off after them, as a truncated archive does.

    Raises
    ------
    SourceError
        If the file cannot be read at all, or has a line that is no line.
    """
    total = path.stat().st_size
    rest = b""
    try:
        with path.open("rb") as file:
            for part, broke_off in _parts(file, content):
                whole = rest + part
                until = whole.rfind(b"\n") + 1
                for block in _blocks(whole[:until]):
                    yield block, False
                rest = whole[until:]
                if len(rest) > LONGEST_LINE:
                    raise SourceError(
                        f"a line is longer than {LONGEST_LINE >> 20} MB, so this is no text",
                        file=path,
                        cure="Give the log itself",
                    )
                if broke_off:
                    yield rest, True
                    rest = b""
                if progress is not None:
                    progress(min(file.tell(), total) if content is None else total, total)
    except (OSError, _BrokenError) as error:
        raise SourceError(
            f"the file cannot be read ({error})",
            file=path,
            cure="Unpack it by hand to see what is left of it",
        ) from error
    if rest:
        yield rest, False
    if progress is not None:
        progress(total, total)


class _BrokenError(Exception):
    """An archive of which nothing can be unpacked."""


def _blocks(lines: bytes) -> Iterator[bytes]:
    """Cut lines into blocks that are not too long."""
    if not lines:
        return
    ends = np.frombuffer(lines, np.uint8) == _NEWLINE
    if int(np.count_nonzero(ends)) <= LINES_PER_BATCH:
        yield lines
        return
    last = np.flatnonzero(ends)[LINES_PER_BATCH - 1 :: LINES_PER_BATCH].tolist()
    begin = 0
    for end in last:
        yield lines[begin : end + 1]
        begin = end + 1
    if begin < len(lines):
        yield lines[begin:]


def _parts(file: IO[bytes], content: bytes | None) -> Iterator[tuple[bytes, bool]]:
    """Give the content part by part, and whether it breaks off after a part."""
    if content is not None:
        yield content, False
        return
    head = file.read(4)
    file.seek(0)
    if not head.startswith(COMPRESSED):
        while part := file.read(BLOCK_BYTES):
            yield part, False
        return
    gathered: list[bytes] = []
    size, is_first = 0, True
    for piece in _unpacked(file, is_gzip=head.startswith(GZIP)):
        if piece is None:
            if is_first and not size:
                raise _BrokenError("the archive is broken at its start")
            yield b"".join(gathered), True
            return
        gathered.append(piece)
        size += len(piece)
        if size >= BLOCK_BYTES:
            yield b"".join(gathered), False
            gathered, size, is_first = [], 0, False
    yield b"".join(gathered), False


def _unpacked(file: IO[bytes], *, is_gzip: bool) -> Iterator[bytes | None]:
    """Unpack an archive of one or several members; give None where it breaks off."""
    packed = b""
    while packed := packed or file.read(PACKED_BYTES):
        if not packed.strip(b"\0"):  # padding behind the last member
            packed = b""
            continue
        member = _member(is_gzip=is_gzip)
        while not member.eof:
            if not packed:
                packed = file.read(PACKED_BYTES)
            if not packed:
                yield None
                return
            try:
                piece: bytes = member.decompress(packed)
            except Exception:  # zlib and zstandard each have a class of their own
                yield None
                return
            packed = b""
            yield piece
        packed = member.unused_data


def _member(*, is_gzip: bool) -> Any:
    if is_gzip:
        return zlib.decompressobj(zlib.MAX_WBITS | 16)
    import zstandard  # only those who read such archives pay for it

    return zstandard.ZstdDecompressor().decompressobj()
