"""The one door to every format: look at the content, then read.

The content decides, not the name: a ``.log`` may hold candump text or a table, a ``.csv``
may have been exported by a logger as candump text, an archive may hold either.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Literal

from thawline.errors import SourceError
from thawline.sources.frames import Frames
from thawline.sources.sniff import READ, sniff
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
    kind = sniff(Path(path))
    if kind == "mdf":
        # asammdf takes 0.5 s to import and only MDF files need it
        from thawline.sources.mdf import holds_frames

        return "frames" if holds_frames(Path(path)) else "table"
    return "table" if kind in ("text-table", "parquet") else "frames"


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
    path = Path(path)
    kind = sniff(path)
    # each reader is imported when it is needed: asammdf alone takes 0.5 s
    if kind == "candump":
        from thawline.sources.candump import read_candump

        return read_candump(path, progress=progress)
    if kind == "text-table":
        from thawline.sources.csv_table import read_csv_table

        return read_csv_table(path, time_column=time_column, progress=progress)
    if kind == "parquet":
        from thawline.sources.parquet_table import read_parquet_table

        return read_parquet_table(path, time_column=time_column, progress=progress)
    if kind == "mdf":
        from thawline.sources.mdf import holds_frames
        from thawline.sources.mdf_frames import read_mdf_frames
        from thawline.sources.mdf_table import read_mdf_table

        if holds_frames(path):
            return read_mdf_frames(path, progress=progress)
        return read_mdf_table(path, progress=progress)
    raise SourceError(f"{kind.upper()} files are not read", file=path, cure=f"What is read: {READ}")
