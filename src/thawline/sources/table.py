"""A table of already decoded columns, each on its own clock."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray


@dataclass(frozen=True, slots=True)
class Column:
    """One decoded column.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Time of each value [s], since the epoch if the table's ``is_epoch`` else relative.
    values : ndarray of float64, shape (n,)
        Values in ``unit``; NaN where the cell is empty [unit].
    unit : str or None
        The unit that the file states, if it does.
    labels : mapping of float to str
        Names of codes, for labelled columns.
    """

    t: NDArray[np.float64]
    values: NDArray[np.float64]
    unit: str | None = None
    labels: Mapping[float, str] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class Table:
    """Decoded columns by name.

    Parameters
    ----------
    columns : mapping of str to Column
        The columns.
    is_epoch : bool
        Whether times count from 1970-01-01 UTC.
    rows : int
        Rows read (samples, where columns have their own clocks) [1].
    left_out : mapping of str to int
        Rows that could not be used, by reason [1].
    warnings : tuple of str
        What was noticed while reading, in plain words.
    """

    columns: Mapping[str, Column]
    is_epoch: bool
    rows: int
    left_out: Mapping[str, int] = field(default_factory=dict)
    warnings: tuple[str, ...] = ()
