"""Read TRC text logs, versions 1.0 to 2.1."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from pathlib import Path

import polars as pl

from thawline.errors import SourceError
from thawline.sources.frames import Frames
from thawline.sources.lines import read_lines
from thawline.sources.pattern_log import FramePattern, LinePattern, read_pattern_log
from thawline.sources.payloads import BYTES_BY_CODE, WIDEST

#: Lines in which the header stands [1].
HEAD_LINES = 100
#: Times are in milliseconds; the start is in days since 1899-12-30, 25569 days before 1970.
TICK_S, EPOCH_DAYS, DAY_S = 1e-3, 25_569, 86_400.0
#: What stands in the columns of versions 2, by the letters that name them in the header.
_COLUMNS = {
    "N": r"\d+", "O": r"[\d.]+", "T": r"DT", "B": r"(?P<bus>\d+)", "I": r"(?P<id>[0-9A-Fa-f]+)",
    "d": r"[RT]x", "R": r"\S+", "l": r"(?P<n>\d+)", "L": r"(?P<n>\d+)",
}  # fmt: skip
#: What stands for frames with a flexible data rate in the place of ``DT``.
_FLEXIBLE = r"(?:FD|FB|FE|BI)"
#: The same for versions 1, which have no such header: the columns before the length.
_FIXED = {
    "1.0": r"\s+(?P<id>[0-9A-Fa-f]+)",
    "1.1": r"\s+[RT]x\s+(?P<id>[0-9A-Fa-f]+)",
    "1.2": r"\s+(?P<bus>\d+)\s+[RT]x\s+(?P<id>[0-9A-Fa-f]+)",
    "1.3": r"\s+(?P<bus>\d+)\s+[RT]x\s+(?P<id>[0-9A-Fa-f]+)\s+\S+",
}
_TIME = r"^\s*\d+\)?\s+([\d.]+)\s"
#: The same where lines have no number.
_TIME_FIRST = r"^\s*([\d.]+)\s"
#: No log begins later than this, the year 2970, since 1970 [s].
LATEST_S = 1000 * 365.25 * DAY_S
_DATA = r"(?P<data>(?:\s+[0-9A-Fa-f]{2})*)\s*$"
_REASONS = {
    "remote": _TIME + r"(?:\s*RR\s|.*\sRTR\s*$)",
    "error": _TIME + r"(?:\s*(?:ER|ST|EC|EV)\s|.*(?:Warng|Error|BUSHEAVY))",
    "unreadable": _TIME,
}


def read_trc(path: Path, *, progress: Callable[[int, int], None] | None = None) -> Iterator[Frames]:
    """Read a TRC log in batches. Its start is read as UTC, for it states no zone.

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
        If the version is unknown, or there is no data frame.
    """
    first, _ = next(iter(read_lines(path)), (pl.Series([], dtype=pl.String), False))
    head = "\n".join(first.head(HEAD_LINES).fill_null("").to_list())
    stated = {key: value.strip() for key, value in re.findall(r"^;\$(\w+)=(.*)$", head, re.M)}
    version = stated.get("FILEVERSION", "1.0")
    frames: tuple[FramePattern, ...]
    clock = _TIME
    if version in _FIXED:
        frames = (FramePattern(r"^\s*\d+\)\s+[\d.]+" + _FIXED[version] + r"\s+(?P<n>\d+)" + _DATA),)
    elif version.startswith("2.") and "COLUMNS" in stated:
        letters = _letters(stated["COLUMNS"], path)
        clock = _TIME if letters[0] == "N" else _TIME_FIRST
        frame = r"^\s*" + r"\s+".join(_COLUMNS.get(letter, r"\S+") for letter in letters) + _DATA
        sizes = BYTES_BY_CODE if "l" in letters else tuple(range(WIDEST + 1))
        flexible = frame.replace(_COLUMNS["T"], _FLEXIBLE)
        frames = (FramePattern(frame, 10), FramePattern(flexible, 10, sizes))
    else:
        raise SourceError(
            f"this is TRC of version {version!r}, which is not read",
            file=path,
            cure=f"Export it as version {', '.join(_FIXED)}, 2.0 or 2.1",
        )
    try:
        start = (float(stated["STARTTIME"]) - EPOCH_DAYS) * DAY_S
        start = start if start < LATEST_S else 0.0  # nor is it a time if it is no number
    except (KeyError, ValueError):
        start = 0.0
    pattern = LinePattern(frames, clock, TICK_S, max(start, 0.0), reasons=_REASONS)
    return read_pattern_log(path, pattern, progress=progress)


def _letters(columns: str, path: Path) -> list[str]:
    """Read which columns stand before the payload."""
    letters = [letter for letter in columns.split(",") if letter != "D"]
    begins = letters[:2] == ["N", "O"] or letters[:1] == ["O"]
    lengths = letters.count("l") + letters.count("L")
    is_clear = len(set(letters)) == len(letters) and {"T", "I"} <= set(letters) and lengths == 1
    if begins and is_clear:
        return letters
    raise SourceError(
        f"the columns {columns!r} of this TRC are not those of a log",
        file=path,
        place="$COLUMNS",
        cure="Export it with the columns N, O, T, I, l and D at least",
    )
