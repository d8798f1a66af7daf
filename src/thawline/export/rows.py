"""Lay channels, each on its own clock, out as the rows of one wide table.

A row for every time at which any channel has a sample; a cell is empty where its channel has
none just then. So nothing is interpolated and nothing lost. Blocks of rows are made one after
another, so that memory stays flat.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

import numpy as np
import polars as pl
from numpy.typing import NDArray

from thawline.recording.recording import Channel, Recording

#: Rows that are made at a time [1].
BLOCK = 50_000
#: Heading of the time column: seconds since 1970-01-01 UTC.
TIME = "Time [s]"


@dataclass(frozen=True, slots=True)
class Rows:
    """The rows of a wide table, and which samples stand in them.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Time of each row since the recording's start [s].
    places : tuple of ndarray of int
        For each channel, the row of each of its samples [1].
    """

    t: NDArray[np.float64]
    places: tuple[NDArray[np.intp], ...]


def heading(channel: Channel) -> str:
    """Name a channel's column: its path, and its unit in brackets.

    Parameters
    ----------
    channel : Channel
        The channel.

    Returns
    -------
    str
        For instance ``Speed [km/h]``; the path alone for states.
    """
    return f"{channel.path} [{channel.unit}]" if channel.unit else channel.path


def _repeats(t: NDArray[np.float64]) -> NDArray[np.intp]:
    """Count the samples of a channel that share one time, from 0."""
    first = np.searchsorted(t, t, side="left")
    return np.asarray(np.arange(len(t)) - first, dtype=np.intp)


def lay_rows(recording: Recording) -> Rows:
    """Find the rows that a recording needs.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    Rows
        A row for each distinct time; where a channel has several samples at one time, as many.
    """
    channels = list(recording.channels.values())
    times = np.unique(np.concatenate([channel.t for channel in channels]))
    numbered = [(np.searchsorted(times, c.t), _repeats(c.t)) for c in channels]
    needed = np.ones(len(times), dtype=np.intp)
    for at, repeat in numbered:
        np.maximum.at(needed, at, repeat + 1)
    first = np.cumsum(needed) - needed
    places = tuple(np.asarray(first[at] + repeat, dtype=np.intp) for at, repeat in numbered)
    return Rows(np.repeat(times, needed), places)


def blocks(recording: Recording) -> Iterator[pl.DataFrame]:
    """Make the wide table, block by block.

    Parameters
    ----------
    recording : Recording
        The recording; times are written since 1970 (from 0 if it has no date).

    Yields
    ------
    DataFrame
        A column ``Time [s]``, then one per channel: numbers, or 0 and 1 for states; null where
        the channel has no sample.
    """
    rows = lay_rows(recording)
    for begin in range(0, len(rows.t), BLOCK):
        t = recording.starts_at + rows.t[begin : begin + BLOCK]
        columns = [pl.Series(TIME, t)]
        for channel, place in zip(recording.channels.values(), rows.places, strict=True):
            low, high = np.searchsorted(place, (begin, begin + len(t)))
            cells = np.full(len(t), np.nan)
            cells[place[low:high] - begin] = channel.values[low:high]
            column = pl.Series(heading(channel), cells, nan_to_null=True)
            columns.append(column.cast(pl.Int8) if channel.is_state else column)
        yield pl.DataFrame(columns)


def schema(recording: Recording) -> dict[str, type[pl.DataType]]:
    """Name the columns of the wide table with their types.

    Parameters
    ----------
    recording : Recording
        The recording.

    Returns
    -------
    dict of str to type
        Types by heading.
    """
    found: dict[str, type[pl.DataType]] = {TIME: pl.Float64}
    for channel in recording.channels.values():
        found[heading(channel)] = pl.Int8 if channel.is_state else pl.Float64
    return found
