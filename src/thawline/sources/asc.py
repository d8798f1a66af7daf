"""Read ASC text logs."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from datetime import UTC, datetime
from pathlib import Path

import polars as pl

from thawline.errors import SourceError
from thawline.sources.frames import Frames
from thawline.sources.lines import read_lines
from thawline.sources.pattern_log import FramePattern, LinePattern, read_pattern_log
from thawline.sources.payloads import WIDEST

#: Lines in which the header stands [1].
HEAD_LINES = 100
#: First letters of months as loggers of several languages write them, January first.
MONTHS = ("jan", "feb", "mar mär mrz", "apr", "may mai", "jun", "jul", "aug", "sep",
          "oct okt", "nov", "dec dez")  # fmt: skip
_TIME = r"^\s*(\d+(?:\.\d+)?)\s"
_FRAME = (
    r"^\s*\d+(?:\.\d+)?\s+(?P<bus>\d+)\s+(?P<id>[0-9A-Fa-f]{1,8})(?P<x>x?)\s+"
    r"(?:Rx|Tx|TxRq)\s+d\s+(?P<n>[0-9A-Fa-f]{1,2})(?P<data>(?:\s+[0-9A-Fa-f]{2})*)(?:\s|$)"
)
#: Frames with a flexible data rate: a name may stand behind the identifier; then two flags, the
#: length code and the length. A code without bytes is a remote frame.
_FLEXIBLE = (
    r"^\s*\d+(?:\.\d+)?\s+CANFD\s+(?P<bus>\d+)\s+(?:Rx|Tx|TxRq)\s+"
    r"(?P<id>[0-9A-Fa-f]{1,8})(?P<x>x?)\s+(?:\S+\s+)?[01]\s+[01]\s+"
)
_BYTES = r"[0-9A-Fa-f]{1,2}\s+(?P<n>[1-9]\d?)(?P<data>(?:\s+[0-9A-Fa-f]{2})+)(?:\s|$)"
_NO_BYTES = r"0\s+(?P<n>0)(?P<data>)(?:\s|$)"
_SIZES = tuple(range(WIDEST + 1))
_FRAMES = (
    FramePattern(_FRAME),
    FramePattern(_FLEXIBLE + _BYTES, 10, _SIZES),
    FramePattern(_FLEXIBLE + _NO_BYTES, 10, _SIZES),
)
_REASONS = {
    "error": _TIME + r"\s*(?:\d+|CANFD\s+\d+)\s+(?:(?:Rx|Tx)\s+)?ErrorFrame",
    "remote": _TIME
    + r"\s*(?:\d+\s+[0-9A-Fa-f]+x?\s+(?:Rx|Tx|TxRq)\s+r(?:\s|$)|"
    + r"CANFD\s+\d+\s+\S+\s+[0-9A-Fa-f]+x?\s+(?:\S+\s+)?[01]\s+[01]\s+[0-9A-Fa-f]+\s+0(?:\s|$))",
    "unreadable": _TIME + r"\s*(?:\d+\s+[0-9A-Fa-f]+x?\s+(?:Rx|Tx|TxRq)\s+d|CANFD\s)",
}
_DATE = re.compile(
    r"^date\s+\S+\s+(\w+)\.?\s+(\d+)\s+(\d+):(\d+):(\d+)(?:[.,](\d+))?\s*([ap]m)?\s+(\d{4})", re.I
)


def read_asc(path: Path, *, progress: Callable[[int, int], None] | None = None) -> Iterator[Frames]:
    """Read an ASC log in batches. Its date is read as UTC, for it states no zone.

    Parameters
    ----------
    path : Path
        The log; gzip and zstd archives are unpacked on the way.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Returns
    -------
    iterator of Frames
        Batches of up to 150,000 lines.

    Raises
    ------
    SourceError
        If the numbers are not hexadecimal, or there is no data frame.
    """
    first, _ = next(iter(read_lines(path)), (pl.Series([], dtype=pl.String), False))
    head = first.head(HEAD_LINES).fill_null("").to_list()
    base = next((line.lower() for line in head if line.lower().startswith("base ")), "base hex")
    if "hex" not in base:
        raise SourceError(
            f"the numbers of this log are not hexadecimal ({base.strip()!r})",
            file=path,
            cure="Export it again with 'base hex'",
        )
    start = next((_start(match) for line in head if (match := _DATE.match(line))), 0.0)
    pattern = LinePattern(_FRAMES, _TIME, 1.0, start, "relative" in base, _REASONS)
    return read_pattern_log(path, pattern, progress=progress)


def _start(date: re.Match[str]) -> float:
    """Read the date of the header; 0 if its month is in no language that is known."""
    month_name, day, hour, minute, second, fraction, half, year = date.groups()
    months = [i for i, names in enumerate(MONTHS, 1) if month_name[:3].lower() in names.split()]
    if not months:
        return 0.0
    hours = int(hour) % 12 + (12 if half.lower() == "pm" else 0) if half else int(hour)
    try:
        day_at = datetime(
            int(year), months[0], int(day), hours, int(minute), int(second), tzinfo=UTC
        )
    except ValueError:
        return 0.0
    return day_at.timestamp() + float(f"0.{fraction or 0}")
