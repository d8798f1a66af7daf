"""Write a recording as CSV: one wide table, units in the headings.

References
----------
.. [1] RFC 4180, common format for comma-separated values: a header line, commas, one record
   per line.
"""

from __future__ import annotations

from pathlib import Path

from thawline.export.rows import blocks
from thawline.export.whole import check_not_empty, written_whole
from thawline.recording.recording import Recording


def write_csv(recording: Recording, path: Path) -> None:
    """Write a recording as CSV.

    The first column is ``Time [s]``, in seconds since 1970-01-01 UTC (since the first sample,
    if the recording has no date). Each channel has a column named by its path, with its unit
    in brackets. A row stands for a time at which at least one channel has a sample; the cells
    of the others are empty. Numbers are written with all their digits.

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
    with written_whole(path) as place, place.open("wb") as file:
        for number, block in enumerate(blocks(recording)):
            block.write_csv(file, include_header=number == 0)
