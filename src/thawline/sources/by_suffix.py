"""The one door to every format: look at the content, then read.

The content decides, not the name: a ``.log`` may hold candump text or a table, a ``.csv``
may have been exported by a logger as candump text, an archive may hold either.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from importlib import import_module
from pathlib import Path
from typing import Literal, cast

from thawline.sources.frames import Frames
from thawline.sources.sniff import sniff
from thawline.sources.table import Table

#: Readers of raw logs, by what ``sniff`` calls them: module and function.
_LOGS = {
    "candump": ("candump", "read_candump"),
    "asc": ("asc", "read_asc"),
    "trc": ("trc", "read_trc"),
    "blf": ("blf", "read_blf"),
}
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
    if kind in _LOGS:
        module, name = _LOGS[kind]
        read = getattr(import_module(f"thawline.sources.{module}"), name)
        return cast("Iterator[Frames]", read(path, progress=progress))
    if kind == "text-table":
        from thawline.sources.csv_table import read_csv_table

        return read_csv_table(path, time_column=time_column, progress=progress)
    if kind == "parquet":
        from thawline.sources.parquet_table import read_parquet_table

        return read_parquet_table(path, time_column=time_column, progress=progress)
    from thawline.sources.mdf import holds_frames
    from thawline.sources.mdf_frames import read_mdf_frames
    from thawline.sources.mdf_table import read_mdf_table

    if holds_frames(path):
        return read_mdf_frames(path, progress=progress)
    return read_mdf_table(path, progress=progress)
