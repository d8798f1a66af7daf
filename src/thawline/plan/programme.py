"""What is asked of the car, step by step."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Bools = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Programme:
    """What is asked of the car.

    Parameters
    ----------
    heat : ndarray of bool, shape (n,)
        Whether the pack shall be heated.
    charge : ndarray of bool, shape (n,)
        Whether it shall be charged.
    leads : tuple of int
        For how many steps the cabin is warmed before each leaving time [1].
    limit_pct : float
        Charge at which the car shall stop charging: the wish, and what heating takes later
        [percent].
    """

    heat: Bools
    charge: Bools
    leads: tuple[int, ...]
    limit_pct: float = 100.0

    @property
    def key(self) -> tuple[bytes, bytes, tuple[int, ...], float]:
        """The same for equal programmes."""
        return self.heat.tobytes(), self.charge.tobytes(), self.leads, self.limit_pct


def runs(on: Bools) -> list[tuple[int, int]]:
    """Find the stretches in which something is on.

    Parameters
    ----------
    on : ndarray of bool, shape (n,)
        Step by step.

    Returns
    -------
    list of tuple of int
        First step of each stretch, and the step after its last [1].
    """
    edges = np.flatnonzero(np.diff(np.concatenate([[False], on, [False]]).astype(int)))
    return [(int(a), int(b)) for a, b in zip(edges[::2], edges[1::2], strict=True)]
