"""The one door to every format: look at the name and at the content, then read."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal

from thawline.sources.frames import Frames
from thawline.sources.table import Table

#: Told how many bytes are done, and how many there are.
Progress = Callable[[int, int], None]


def kind_of(path: Path) -> Literal["frames", "table"]:
    """Tell whether a file holds raw bus frames or decoded columns.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    str
        ``frames`` or ``table``.

    Raises
    ------
    SourceError
        If the file is missing, empty, or of a kind that is not read.
    """
    raise NotImplementedError


def open_source(
    path: Path, *, time_column: str | None = None, progress: Progress | None = None
) -> Iterator[Frames] | Table:
    """Open a log or a table, whichever it is.

    Parameters
    ----------
    path : Path
        The file.
    time_column : str, optional
        Name of the time column of a table, where it cannot be recognised.
    progress : callable, optional
        Called with the bytes done and the bytes in all.

    Returns
    -------
    iterator of Frames, or Table
        Frames in batches of bounded size, or the decoded columns; ``isinstance(x, Table)``
        tells which.

    Raises
    ------
    SourceError
        If the file cannot be read; while the batches are drawn, too.
    """
    raise NotImplementedError
