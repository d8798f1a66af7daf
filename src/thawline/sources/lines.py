"""Read a text file, plain or compressed, as batches of lines."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import polars as pl

from thawline.sources.chunks import read_chunks

#: What some programs write at the beginning of a text file.
BYTE_ORDER_MARK = b"\xef\xbb\xbf"


def read_lines(
    path: Path,
    content: Path | bytes | None = None,
    *,
    progress: Callable[[int, int], None] | None = None,
) -> Iterator[tuple[pl.Series, bool]]:
    """Read the lines of a file in batches; gzip and zstd archives are unpacked on the way.

    Parameters
    ----------
    path : Path
        The file.
    content : Path or bytes, optional
        Its content where it had to be converted; None: the file itself.
    progress : callable, optional
        Called with the bytes done and the bytes in all, packed ones for archives.

    Yields
    ------
    tuple of Series and bool
        Up to 150,000 lines without their ends, empty ones as nulls; and whether the file
        broke off after them, as a truncated archive does.

    Raises
    ------
    SourceError
        If the file cannot be read at all.
    """
    as_bytes = content.read_bytes() if isinstance(content, Path) and content != path else content
    if isinstance(as_bytes, Path):
        as_bytes = None
    is_first = True
    for block, broke_off in read_chunks(path, as_bytes, progress=progress):
        if is_first:
            block, is_first = block.removeprefix(BYTE_ORDER_MARK), False
        yield as_lines(block), broke_off


def as_lines(block: bytes) -> pl.Series:
    """Cut a block of text into lines.

    Parameters
    ----------
    block : bytes
        Whole lines; the last may lack its end.

    Returns
    -------
    Series of str
        The lines without their ends, empty ones as nulls; what is no UTF-8 is replaced.
    """
    text = block.decode("utf-8", errors="replace").removesuffix("\n")
    lines = pl.Series("line", [text]).str.split("\n").explode().str.strip_suffix("\r")
    return lines.replace("", None)
