"""Tell times since the epoch from times since a log's own zero."""

from __future__ import annotations

#: Times above this count from 1970: three years of recording do not come in one file [s].
EPOCH_FROM_S = 1e8


def is_epoch(first_s: float) -> bool:
    """Tell whether a log's clock counts from 1970-01-01 UTC.

    Parameters
    ----------
    first_s : float
        A time of the log [s].

    Returns
    -------
    bool
        True if it does; False if it counts from a zero of the log's own.
    """
    return first_s >= EPOCH_FROM_S
