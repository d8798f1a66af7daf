"""Write a recording as Parquet: one wide table, with what it is in the file's metadata."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path

import polars as pl
from polars.io.plugins import register_io_source

from thawline.export.rows import TIME, blocks, heading, schema
from thawline.export.whole import check_not_empty, written_whole
from thawline.recording.recording import Recording
from thawline.signals.catalogue import find_signal

#: Key of the file's metadata under which the description stands.
KEY = "thawline"


def _meaning(path: str) -> str:
    row = find_signal(path)
    return row.meaning if row else ""


def _description(recording: Recording) -> str:
    """Describe the recording and its columns as JSON."""
    columns = {
        heading(channel): {
            "path": path,
            "unit": channel.unit,
            "meaning": _meaning(path),
            "source": channel.source,
            "resolution": channel.resolution,
        }
        for path, channel in recording.channels.items()
    }
    return json.dumps(
        {
            "recording": recording.id,
            "vehicle": recording.vehicle.name,
            "starts_at": recording.starts_at,
            "duration_s": recording.duration_s,
            "time": {"column": TIME, "unit": "s", "from": "1970-01-01T00:00:00Z"},
            "columns": columns,
            "gaps": [[gap.from_s, gap.to_s] for gap in recording.gaps],
        },
        ensure_ascii=False,
    )


def write_parquet(recording: Recording, path: Path) -> None:
    """Write a recording as Parquet.

    The columns are those of ``write_csv``: ``Time [s]`` and one per channel, null where the
    channel has no sample. Under the key ``thawline`` the file's metadata describes, as JSON,
    the recording, each column's path, unit, meaning and source, and the gaps.

    Parameters
    ----------
    recording : Recording
        The recording.
    path : Path
        The file; one that is there is replaced.

    Raises
    ------
    RequestError
        If the recording is empty or the file cannot be written.
    """
    check_not_empty(recording)

    def made(
        with_columns: list[str] | None,
        predicate: pl.Expr | None,
        n_rows: int | None,
        batch_size: int | None,
    ) -> Iterator[pl.DataFrame]:
        # the writer takes every column and row, so it never narrows what it asks for
        assert predicate is None and n_rows is None
        del batch_size
        for block in blocks(recording):
            yield block if with_columns is None else block.select(with_columns)

    with written_whole(path) as place:
        try:
            register_io_source(made, schema=schema(recording)).sink_parquet(
                place, compression="zstd", metadata={KEY: _description(recording)}
            )
        except pl.exceptions.ComputeError as error:  # what the writer makes of a full disk
            raise OSError(str(error)) from error
