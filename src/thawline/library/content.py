"""Tell whether two recordings come from the same content, and name recordings."""

from __future__ import annotations

import bz2
import gzip
import hashlib
import lzma
import re
import unicodedata
import zlib
from collections.abc import Callable, Iterator, Sequence
from datetime import UTC, datetime
from pathlib import Path
from typing import IO, Any

from thawline.errors import SourceError

#: Bytes read at once [byte].
CHUNK = 1 << 20
#: Hexadecimal digits of the sum in a recording's name [1].
DIGITS = 6
#: Letters of the vehicle's name in a recording's name, at most [1].
LETTERS = 40
#: What a compressed file begins with, and what opens it.
_OPENERS: dict[bytes, Callable[[Path], Any]] = {
    b"\x1f\x8b": gzip.open,
    b"BZh": bz2.open,
    b"\xfd7zXZ\x00": lzma.open,
}


def _chunks(file: IO[bytes]) -> Iterator[bytes]:
    while chunk := file.read(CHUNK):
        yield chunk


def _sum_of_file(path: Path) -> bytes:
    """Sum up a file's content, decompressed if it was compressed."""
    try:
        with path.open("rb") as file:
            head = file.read(max(map(len, _OPENERS)))
        opener = next((o for magic, o in _OPENERS.items() if head.startswith(magic)), None)
        if opener is not None:
            summed = hashlib.sha256()
            try:
                with opener(path) as unpacked:
                    for chunk in _chunks(unpacked):
                        summed.update(chunk)
                return summed.digest()
            except (EOFError, lzma.LZMAError, zlib.error, gzip.BadGzipFile):
                pass  # cut short or damaged: the file as it lies there is its content
        with path.open("rb") as file:
            return hashlib.file_digest(file, "sha256").digest()
    except OSError as error:
        raise SourceError(
            f"cannot be read: {error.strerror or error}", file=path, cure="check the path"
        ) from error


def content_key(files: Sequence[Path], vehicle_text: str, databases: Sequence[Path]) -> str:
    """Sum up what a recording is made from.

    Files packed by gzip, bzip2 or xz count by what is in them, so a log and its packed copy are
    the same; other archives count as they are. Names and times of files do not count, nor does
    how the vehicle file ends its lines.

    Parameters
    ----------
    files : sequence of Path
        The logs and tables, in the order in which they are read.
    vehicle_text : str
        The text of the vehicle file.
    databases : sequence of Path
        The signal databases, in order.

    Returns
    -------
    str
        A SHA-256 sum, 64 hexadecimal digits.

    Raises
    ------
    SourceError
        If a file cannot be read.
    """
    total = hashlib.sha256()
    for paths in (files, databases):
        total.update(len(paths).to_bytes(8, "big"))
        for path in paths:
            total.update(_sum_of_file(path))
    lines = "\n".join(vehicle_text.splitlines())
    total.update(hashlib.sha256(lines.encode("utf-8", "surrogatepass")).digest())
    return total.hexdigest()


def recording_id(vehicle_name: str, starts_at: float, key: str) -> str:
    """Name a recording so that a person can read the name.

    Parameters
    ----------
    vehicle_name : str
        The vehicle's name.
    starts_at : float
        First sample, since 1970-01-01 UTC [s].
    key : str
        The sum that ``content_key`` gave.

    Returns
    -------
    str
        For instance ``gannet-20260117-0612-3f9a1c``: vehicle, start in UTC, sum.
    """
    ascii_only = unicodedata.normalize("NFKD", vehicle_name).encode("ascii", "ignore").decode()
    slug = re.sub(r"[^a-z0-9]+", "-", ascii_only.lower()).strip("-")[:LETTERS].strip("-")
    try:
        start = datetime.fromtimestamp(starts_at, UTC).strftime("%Y%m%d-%H%M")
    except (ValueError, OverflowError, OSError):  # a clock that was never set, or no number
        start = "undated"
    return f"{slug or 'vehicle'}-{start}-{key[:DIGITS]}"
