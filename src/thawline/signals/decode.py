"""Turn frames into physical values, one array per signal."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.signals.database import Database
from thawline.signals.layout import SignalLayout
from thawline.sources.frames import Frames


@dataclass(frozen=True, slots=True)
class Decoded:
    """The values of one signal, in the order of the log.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Time of each value, as the frames have it [s].
    values : ndarray of float64, shape (n,)
        Physical values [unit].
    unit : str
        Unit of the values as the database writes it; may be empty.
    codes : ndarray of int, shape (n,), optional
        Raw codes, for labelled signals only [1].
    labels : mapping of int to str
        Names of the codes, for labelled signals.
    too_short : int
        Frames of the message that ended before the signal and were left out [1].
    """

    t: NDArray[np.float64]
    values: NDArray[np.float64]
    unit: str = ""
    codes: NDArray[np.integer[Any]] | None = None
    labels: Mapping[int, str] = field(default_factory=dict)
    too_short: int = 0


def decode(frames: Frames, wanted: Sequence[SignalLayout]) -> dict[str, Decoded]:
    """Decode the wanted signals of a batch of frames.

    Parameters
    ----------
    frames : Frames
        The frames.
    wanted : sequence of SignalLayout
        The signals; one whose ``bus`` is set is read from frames of that bus only.

    Returns
    -------
    dict of str to Decoded
        Values by ``Message.Signal``; empty arrays for a signal that never came.
    """
    raise NotImplementedError


def join(batches: Iterable[Mapping[str, Decoded]]) -> dict[str, Decoded]:
    """Put what several batches gave behind one another.

    Parameters
    ----------
    batches : iterable of mapping of str to Decoded
        Results of ``decode``, in the order of the log.

    Returns
    -------
    dict of str to Decoded
        Values by ``Message.Signal`` over all batches.
    """
    raise NotImplementedError


def match_count(frames: Frames, database: Database) -> int:
    """Count the frames whose identifier the database knows.

    Parameters
    ----------
    frames : Frames
        The frames.
    database : Database
        The database.

    Returns
    -------
    int
        Frames that match a message [1]; 0 says that the database does not fit the log.
    """
    raise NotImplementedError
