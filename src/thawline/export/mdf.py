"""Write a recording as MDF 4, each channel on its own clock.

References
----------
.. [1] ASAM MDF 4.1: channel groups with a master channel of time, units and comments.
"""

from __future__ import annotations

import logging
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError
from thawline.export.whole import check_not_empty, written_whole
from thawline.recording.recording import Channel, Recording
from thawline.signals.catalogue import find_signal

#: Version of the format that is written.
VERSION = "4.10"
#: What its files end in.
SUFFIX = ".mf4"
_EPOCH = datetime(1970, 1, 1, tzinfo=UTC)


def _by_clock(recording: Recording) -> Iterator[list[Channel]]:
    """Put channels that share their times together."""
    groups: dict[bytes, list[Channel]] = {}
    for channel in recording.channels.values():
        if len(channel.t):
            groups.setdefault(np.ascontiguousarray(channel.t).tobytes(), []).append(channel)
    yield from groups.values()


def _comment(channel: Channel) -> str:
    row = find_signal(channel.path)
    told = [row.meaning] if row else []
    if channel.source:
        told.append(f"from {channel.source}")
    return "; ".join(told)


def _samples(channel: Channel) -> NDArray[np.float64] | NDArray[np.uint8]:
    return channel.values.astype(np.uint8) if channel.is_state else channel.values


def write_mdf(recording: Recording, path: Path) -> None:
    """Write a recording as MDF 4.

    Channels that share their times are one group. Each has its path as name, its unit, and
    its meaning and source as comment. The header holds the time of the first sample in UTC
    and the names of the vehicle and the recording.

    Parameters
    ----------
    recording : Recording
        The recording.
    path : Path
        The file, ending in ``.mf4``; one that is there is replaced.

    Raises
    ------
    RequestError
        If the recording is empty, the file ends in anything else, or it cannot be written.
    """
    check_not_empty(recording)
    if path.suffix.lower() != SUFFIX:
        raise RequestError(
            f"a file of MDF 4 ends in {SUFFIX!r}, not in {path.suffix or 'nothing'!r}",
            file=path,
            cure=f"Name it {path.with_suffix(SUFFIX).name!r}",
        )
    # 0.5 s to import, and only this export needs it
    from asammdf import MDF, Signal

    logging.getLogger("asammdf").setLevel(logging.CRITICAL)
    # the header's clock counts whole microseconds here; the rest goes to the samples' times
    start = _EPOCH + timedelta(microseconds=round(recording.starts_at * 1e6))
    rest = recording.starts_at - (start - _EPOCH).total_seconds()
    with written_whole(path) as place, MDF(version=VERSION) as mdf:
        mdf.header.start_time = start
        mdf.header.subject = recording.vehicle.name
        mdf.header.comment = f"recording {recording.id}"
        for channels in _by_clock(recording):
            signals = [
                Signal(
                    samples=_samples(channel),
                    timestamps=channel.t + rest,
                    name=channel.path,
                    unit=channel.unit,
                    comment=_comment(channel),
                )
                for channel in channels
            ]
            mdf.append(signals, comment="thawline", common_timebase=True)
        mdf.save(place, overwrite=True, compression=1)
