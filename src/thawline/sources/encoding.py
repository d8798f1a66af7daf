"""Bring text of any usual encoding to UTF-8."""

from __future__ import annotations

import codecs
import gzip
import zlib
from pathlib import Path

from thawline.sources.chunks import is_compressed

#: Bytes decoded at a time [byte].
CHUNK = 1 << 20
#: What text is read as if it is not UTF-8: the superset of latin-1 that spreadsheets write.
FALLBACK = "cp1252"


def as_utf8(path: Path) -> Path | bytes:
    """Give a text file's content as UTF-8.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    Path or bytes
        The path itself if the file is UTF-8 (or packed in a way that is unpacked while
        reading), else its content in UTF-8.
    """
    if is_compressed(path):
        try:
            content = gzip.decompress(path.read_bytes())
        except (OSError, EOFError, zlib.error):  # zstd, or broken off: the reader copes
            return path
        return _converted(content)
    decoder = codecs.getincrementaldecoder("utf-8")()
    with path.open("rb") as file:
        if file.read(2) in (codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE):
            return path.read_bytes().decode("utf-16", errors="replace").encode("utf-8")
        file.seek(0)
        try:
            while chunk := file.read(CHUNK):
                decoder.decode(chunk)
            decoder.decode(b"", final=True)
        except UnicodeDecodeError:
            return _converted(path.read_bytes())
    return path


def _converted(content: bytes) -> bytes:
    try:
        content.decode("utf-8")
    except UnicodeDecodeError:
        return content.decode(FALLBACK, errors="replace").encode("utf-8")
    return content
