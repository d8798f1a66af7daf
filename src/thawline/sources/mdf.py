"""Open MDF files, the open measurement format, and tell what they hold.

Bus frames are read raw and decoded by ``signals``; decoded channels are read as they are.

References
----------
.. [1] ASAM MDF 4.1, and its associated standard for bus logging: group ``CAN_DataFrame``
   with ``BusChannel, ID, IDE, DLC, DataLength, DataBytes, Dir, EDL``.
"""

from __future__ import annotations

import io
import logging
import traceback
from collections.abc import Iterator
from contextlib import contextmanager, redirect_stdout
from datetime import UTC, datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

from thawline.errors import SourceError
from thawline.sources.clock import is_epoch
from thawline.sources.mdf_soundness import check_records

if TYPE_CHECKING:
    from asammdf import MDF

#: The channel that holds a data frame, and those that hold what is no data frame.
DATA_FRAME = "CAN_DataFrame"
OTHER_FRAMES = {"CAN_RemoteFrame": "remote", "CAN_ErrorFrame": "error"}
#: How files begin that a logger did not come to finish.
UNFINISHED = b"UnFinMF "


@contextmanager
def opened(path: Path) -> Iterator[MDF]:
    """Open an MDF file, check that it is sound, and close it in the end.

    Parameters
    ----------
    path : Path
        The file.

    Yields
    ------
    MDF
        The open file.

    Raises
    ------
    SourceError
        If the file is broken or cut off, whether that shows now or while it is used.
    """
    try:
        with _open(path) as mdf:
            yield mdf
    except (SourceError, GeneratorExit):
        raise
    except Exception as error:  # whatever the parser stumbles over in a broken file
        raise SourceError(
            f"this MDF file is broken or cut off ({_first_line(error)})",
            file=path,
            cure="Copy it again from the logger, or finalise it with the logger's program",
        ) from error


@contextmanager
def _open(path: Path) -> Iterator[MDF]:
    # 0.5 s to import, and only MDF files need it
    from asammdf import MDF

    logging.getLogger("asammdf").setLevel(logging.CRITICAL)
    with path.open("rb") as file:
        is_unfinished = file.read(len(UNFINISHED)) == UNFINISHED
        file.seek(0)
        try:
            with quiet():
                # a file that was not finalised is mended in a copy that the parser makes; the
                # frames are decoded by us, so it need not look for messages
                source: Any = str(path) if is_unfinished else file
                mdf = MDF(source, process_bus_logging=False)  # type: ignore[call-arg] # not hinted
        except Exception as error:
            _disarm(error)
            raise
        with mdf:
            check_records(mdf, path.stat().st_size)
            yield mdf


@contextmanager
def quiet() -> Iterator[None]:
    """Keep what the parser prints about broken files out of our own output.

    Yields
    ------
    None
        While nothing is printed.
    """
    with redirect_stdout(io.StringIO()):
        yield


def _disarm(error: BaseException) -> None:
    """Close what is half open: the parser's destructor would complain about it."""
    for frame, _ in traceback.walk_tb(error.__traceback__):
        half_open: Any = frame.f_locals.get("self")
        if getattr(half_open, "_closed", None) is False:
            half_open._closed = True
            half_open._tempfile.close()


def holds_frames(path: Path) -> bool:
    """Tell whether an MDF file holds raw bus frames.

    Parameters
    ----------
    path : Path
        The file.

    Returns
    -------
    bool
        True if it does; False if it holds decoded channels only.

    Raises
    ------
    SourceError
        If the file is broken or cut off.
    """
    with opened(path) as mdf:
        counts = [
            group.channel_group.cycles_nr
            for _, group in groups_with(mdf, (DATA_FRAME, *OTHER_FRAMES))
        ]
        others = len(mdf.groups) - len(counts)
        return sum(counts) > 0 or (bool(counts) and not others)


def groups_with(mdf: MDF, names: tuple[str, ...]) -> list[tuple[int, Any]]:
    """Find the groups that have one of some channels.

    Parameters
    ----------
    mdf : MDF
        The open file.
    names : tuple of str
        Names of the channels.

    Returns
    -------
    list of tuple of int and group
        Number of each such group [1], and the group.
    """
    groups: list[Any] = list(mdf.groups)
    return [
        (index, group)
        for index, group in enumerate(groups)
        if any(channel.name in names for channel in group.channels)
    ]


def starts_at(mdf: MDF) -> tuple[float, bool]:
    """Read the time from which an MDF file's times count.

    Parameters
    ----------
    mdf : MDF
        The open file.

    Returns
    -------
    tuple of float and bool
        The start since 1970-01-01 UTC [s] (a start without a zone is read as UTC), and
        whether it is stated at all.
    """
    start: datetime = mdf.header.start_time
    seconds = (start if start.tzinfo else start.replace(tzinfo=UTC)).timestamp()
    return (seconds, True) if is_epoch(seconds) else (0.0, False)


def _first_line(error: BaseException) -> str:
    return (str(error).splitlines() or [type(error).__name__])[0][:200]
