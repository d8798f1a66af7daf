"""The error for a log in which nothing can be decoded."""

from __future__ import annotations

from collections.abc import Mapping
from pathlib import Path

from thawline.errors import SourceError


def no_data_frame(path: Path, left_out: Mapping[str, int]) -> SourceError:
    """Word the error for a log without a data frame.

    Parameters
    ----------
    path : Path
        The log.
    left_out : mapping of str to int
        What was there instead, by reason [1].

    Returns
    -------
    SourceError
        The error, to be raised.
    """
    counted = ", ".join(f"{count} {reason}" for reason, count in sorted(left_out.items()) if count)
    return SourceError(
        "the log holds no data frame" + (f" (left out: {counted})" if counted else ""),
        file=path,
        cure="Record again with the bus awake, and check that the listener's bit rate is the bus's",
    )


def add_counts(one: Mapping[str, int], other: Mapping[str, int]) -> dict[str, int]:
    """Add what was left out in two places.

    Parameters
    ----------
    one, other : mapping of str to int
        Counts by reason [1].

    Returns
    -------
    dict of str to int
        Their sums, without zeros [1].
    """
    total = {key: one.get(key, 0) + other.get(key, 0) for key in {**one, **other}}
    return {key: count for key, count in total.items() if count}
