"""Say things to a person on standard error, and to a program on standard output."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

from thawline.errors import RequestError
from thawline.recording.dated import has_date


def say(text: str) -> None:
    """Say something to the person, on standard error.

    Parameters
    ----------
    text : str
        What to say.
    """
    print(text, file=sys.stderr)


def answer(text: str) -> None:
    """Give the answer, on standard output.

    Parameters
    ----------
    text : str
        The answer.
    """
    print(text)


def answer_json(document: dict[str, Any]) -> None:
    """Give the answer as one JSON document, on standard output.

    Parameters
    ----------
    document : dict
        The document; it must hold no NaN.
    """
    print(json.dumps(document, allow_nan=False, ensure_ascii=False, indent=1))


def utc(since_epoch_s: float) -> str | None:
    """Write a time as RFC 3339 in UTC.

    Parameters
    ----------
    since_epoch_s : float
        Since 1970-01-01 UTC [s].

    Returns
    -------
    str or None
        For instance ``2026-01-17T06:12:00.000Z``; None for a log without a date.
    """
    if not has_date(since_epoch_s):
        return None
    moment = datetime.fromtimestamp(round(since_epoch_s, 3), UTC)
    return moment.isoformat(timespec="milliseconds").replace("+00:00", "Z")


def parse_utc(text: str | None) -> float | None:
    """Read a time that a person gave.

    Parameters
    ----------
    text : str or None
        RFC 3339 or a plain ISO date and time; without an offset it is taken as UTC.

    Returns
    -------
    float or None
        Since 1970-01-01 UTC [s].

    Raises
    ------
    RequestError
        If it is no time.
    """
    if text is None:
        return None
    try:
        moment = datetime.fromisoformat(text)
    except ValueError as error:
        raise RequestError(
            f"{text!r} is no time", cure="write it as 2026-01-17T06:12:00Z"
        ) from error
    return (moment if moment.tzinfo else moment.replace(tzinfo=UTC)).timestamp()


def write_page(page: str, path: Path) -> None:
    """Write a page to a file.

    Parameters
    ----------
    page : str
        The page.
    path : Path
        Where to.

    Raises
    ------
    RequestError
        If it cannot be written there.
    """
    try:
        path.write_text(page, encoding="utf-8")
    except OSError as error:
        raise RequestError(
            f"cannot write {path}: {error.strerror}", cure="choose another place for --html"
        ) from error
    say(f"page: {path.resolve()}")


@contextmanager
def progress(what: str) -> Iterator[Callable[[int, int], None] | None]:
    """Show how far a file has been read, with rate and time left, on a terminal.

    Parameters
    ----------
    what : str
        What is being read.

    Yields
    ------
    callable or None
        To be called with the bytes done and the bytes in all; None where nobody looks.
    """
    if not sys.stderr.isatty():
        yield None
        return
    # imported here: rich is not needed where nobody looks, and help stays quick
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        DownloadColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
        TransferSpeedColumn,
    )

    columns = (
        TextColumn("{task.description}"),
        BarColumn(),
        DownloadColumn(),
        TransferSpeedColumn(),
        TimeRemainingColumn(),
    )
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
