"""Look at the first bytes of a file to tell what it is."""

from __future__ import annotations

import re
from pathlib import Path

import polars as pl

from thawline.errors import SourceError
from thawline.sources.chunks import is_compressed
from thawline.sources.lines import read_lines

#: Bytes looked at [byte], and the share of control characters that text does not reach [1].
HEAD_BYTES, TOO_MANY_CONTROLS = 65_536, 0.02
#: How files of other kinds begin, and what they are.
MAGIC = (
    (b"MDF ", "mdf"),
    (b"UnFinMF ", "mdf"),
    (b"PAR1", "parquet"),
    (b"LOGG", "blf"),
)
#: Files that are not read, by how they begin.
UNREAD = (
    (b"PK\x03\x04", "a zip archive or a spreadsheet workbook"),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet workbook"),
    (b"%PDF", "a PDF"),
    (b"SQLite format 3", "a SQLite database"),
    (b"\x89HDF", "an HDF5 file"),
    (b"\x89PNG", "a picture"),
    (b"\xff\xd8\xff", "a picture"),
    (b"MATLAB 5.0", "a MAT file"),
    (b"BZh", "a bzip2 archive"),
    (b"\xfd7zXZ", "an xz archive"),
    (b"\x0a\x0d\x0d\x0a", "a packet capture"),
    (b"\xd4\xc3\xb2\xa1", "a packet capture"),
)
#: What is read, for messages.
READ = "candump, ASC, TRC (also .gz and .zst), BLF and MDF 4 logs, CSV, TSV and Parquet tables"
_CANDUMP = re.compile(r"^\s*\([^()]+\)\s+\S+\s+(?:[RT]X \S \S\s+)?[0-9A-Fa-f]{1,8}(?:#|\s+\[)")
_ASC = re.compile(r"^base\s+(hex|dec)\s", re.MULTILINE | re.IGNORECASE)
_TRC = re.compile(r"^;\$FILEVERSION|^\s*1\)\s+[\d.]+\s+[0-9A-Fa-f]{4,8}\s+\d\s", re.MULTILINE)
_DATABASE = re.compile(r"^\s*(BO_ |BU_:|VERSION \")|<AUTOSAR|<NetworkDefinition", re.MULTILINE)
_VEHICLE = re.compile(r"^\s*\[(vehicle|pack)\]\s*$", re.MULTILINE)


def sniff(path: Path) -> str:
    """Tell what a file is, from its content.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        ``candump``, ``asc``, ``trc``, ``blf``, ``mdf``, ``parquet`` or ``text-table``.

    Raises
    ------
    SourceError
        If the file is missing, empty, or of a kind that is not read.
    """
    head = _head(path)
    for magic, kind in MAGIC:
        if head.startswith(magic):
            return kind
    for magic, what in UNREAD:
        if head.startswith(magic):
            raise _not_read(path, f"this is {what}, which is not read")
    lines = _first_lines(path, head)
    text = "\n".join(lines)
    if any(_CANDUMP.match(line) for line in lines):
        return "candump"
    if _ASC.search(text):
        return "asc"
    if _TRC.search(text):
        return "trc"
    if _is_binary(text):
        raise _not_read(path, f"this is no text and no known log; it begins with {head[:8]!r}")
    if _VEHICLE.search(text):
        raise _not_read(path, "this is a vehicle file, not a log; give it as --vehicle")
    if _DATABASE.search(text):
        raise _not_read(path, "this is a signal database, not a log; give it as --database")
    return "text-table"


def _head(path: Path) -> bytes:
    if path.is_dir():
        raise SourceError("this is a directory, not a file", file=path, cure="Name the log in it")
    try:
        with path.open("rb") as file:
            head = file.read(HEAD_BYTES)
    except FileNotFoundError as error:
        raise SourceError("the file does not exist", file=path, cure="Check the path") from error
    except OSError as error:
        raise SourceError(
            f"the file cannot be read ({error.strerror})",
            file=path,
            cure="Check the path and who may read it",
        ) from error
    if not head.strip(b"\x00\r\n\t \xef\xbb\xbf"):
        raise SourceError("the file is empty", file=path, cure="Record or export it again")
    return head


def _first_lines(path: Path, head: bytes) -> list[str]:
    """Give the first lines, unpacked if need be."""
    if is_compressed(path):
        lines, _ = next(iter(read_lines(path)), (pl.Series([], dtype=pl.String), False))
        first = lines.head(400).fill_null("").to_list()
        if not any(line.strip() for line in first):
            raise SourceError(
                "the archive is empty or broken", file=path, cure="Record or copy it again"
            )
        return first
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        return head.decode("utf-16", errors="replace").splitlines()
    return head.decode("utf-8", errors="replace").splitlines()


def _is_binary(text: str) -> bool:
    controls = sum(
        1 for sign in text if (sign < " " and sign not in "\t\n\r\f") or sign == "\ufffd"
    )
    # text in latin-1 read as UTF-8 shows some replaced letters, but no zero bytes
    zeros = text.count("\x00")
    allowed = TOO_MANY_CONTROLS if zeros else 0.2
    return controls > allowed * max(len(text), 1)


def _not_read(path: Path, what: str) -> SourceError:
    return SourceError(what, file=path, cure=f"What is read: {READ}")
