"""Rows and columns of a mixed-integer linear problem, gathered one by one."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

if TYPE_CHECKING:
    from scipy.sparse import csr_matrix

Array = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Rows:
    """A problem in the making.

    Parameters
    ----------
    low, high : list of float
        Bounds of the variables [unit].
    costs : list of float
        What a unit of each costs [currency/unit].
    whole : list of int
        1 where a variable is an integer [1].
    row_low, row_high : list of float
        Bounds of the rows [unit].
    entries : list of tuple of int, int and float
        Row, variable, factor [unit].
    """

    low: list[float] = field(default_factory=list)
    high: list[float] = field(default_factory=list)
    costs: list[float] = field(default_factory=list)
    whole: list[int] = field(default_factory=list)
    row_low: list[float] = field(default_factory=list)
    row_high: list[float] = field(default_factory=list)
    entries: list[tuple[int, int, float]] = field(default_factory=list)

    def variables(
        self, count: int, low: float | Array, high: float | Array, *, cost: float | Array = 0.0,
        is_whole: bool = False,
    ) -> Ints:  # fmt: skip
        """Add variables.

        Parameters
        ----------
        count : int
            How many [1].
        low : float or ndarray of float64, shape (count,)
            Their lower bounds [unit].
        high : float or ndarray of float64, shape (count,)
            Their upper bounds [unit].
        cost : float or ndarray of float64, shape (count,)
            What a unit costs [currency/unit].
        is_whole : bool
            Whether they are integers.

        Returns
        -------
        ndarray of intp, shape (count,)
            Their numbers.
        """
        at = len(self.low)
        self.low.extend(np.broadcast_to(low, count).astype(float).tolist())
        self.high.extend(np.broadcast_to(high, count).astype(float).tolist())
        self.costs.extend(np.broadcast_to(cost, count).astype(float).tolist())
        self.whole.extend([int(is_whole)] * count)
        return np.arange(at, at + count, dtype=np.intp)

    def row(self, terms: Iterable[tuple[int, float]], low: float, high: float) -> None:
        """Add a row.

        Parameters
        ----------
        terms : iterable of tuple of int and float
            Variables and their factors [unit].
        low, high : float
            What their sum must lie between [unit].
        """
        number = len(self.row_low)
        self.entries.extend((number, int(v), float(f)) for v, f in terms if f != 0.0)
        self.row_low.append(low)
        self.row_high.append(high)

    def most(self, terms: Iterable[tuple[int, float]], high: float) -> None:
        """Add a row that must not exceed a bound.

        Parameters
        ----------
        terms : iterable of tuple of int and float
            Variables and their factors [unit].
        high : float
            The bound [unit].
        """
        self.row(terms, -np.inf, high)

    def least(self, terms: Iterable[tuple[int, float]], low: float) -> None:
        """Add a row that must reach a bound.

        Parameters
        ----------
        terms : iterable of tuple of int and float
            Variables and their factors [unit].
        low : float
            The bound [unit].
        """
        self.row(terms, low, np.inf)

    @property
    def matrix(self) -> csr_matrix:
        """The factors as a sparse matrix."""
        from scipy.sparse import csr_matrix  # with the solver only

        row, variable, factor = zip(*self.entries, strict=True)
        return csr_matrix((factor, (row, variable)), shape=(len(self.row_low), len(self.low)))
