"""Tell a date from a logger's own zero."""

from __future__ import annotations

#: 1990-01-01 UTC. No bus log is older, so an earlier start means that the logger counted
#: from its own zero and nobody knows the date [s].
OLDEST_DATE_S = 631_152_000.0


def has_date(starts_at: float) -> bool:
    """Tell whether a start is a date, and not a logger's own zero.

    Parameters
    ----------
    starts_at : float
        First sample, since 1970-01-01 UTC [s].

    Returns
    -------
    bool
        True from 1990 on.
    """
    return starts_at >= OLDEST_DATE_S
