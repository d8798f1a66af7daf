"""Tell a sensor that stands still from one that has nothing to tell."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.findings.settings import setting


@dataclass(frozen=True, slots=True)
class Stuck:
    """A stretch in which a sensor stood still.

    Parameters
    ----------
    at, blocks : int
        First block, and how many [1].
    value : float
        Where it stood [unit].
    others : float
        How far the others moved meanwhile [unit].
    """

    at: int
    blocks: int
    value: float
    others: float


def stuck(mine: NDArray[np.float64], others: NDArray[np.float64], still: float) -> Stuck | None:
    """Find a stretch in which one series stands still and another moves.

    Parameters
    ----------
    mine, others : ndarray of float64, shape (n,)
        Means of blocks; NaN where nothing is known or the comparison does not hold [unit].
    still : float
        What still counts as standing [unit].

    Returns
    -------
    Stuck or None
        The longest such stretch that reaches ``stuck_s``.
    """
    least = int(setting("stuck_s") / setting("block_s"))
    known = np.flatnonzero(~np.isnan(mine) & ~np.isnan(others))
    best: Stuck | None = None
    last = 0
    x, y = mine[known], others[known]
    for i in range(len(known) - least):
        j = max(i + least, last)
        while j < len(known) and float(np.ptp(x[i : j + 1])) <= still:
            j += 1
        last = min(j, len(known) - 1)
        if float(np.ptp(x[i:j])) > still:
            continue
        moved = float(y[j - 1] - y[i])
        enough = max(setting("stuck_moves_K"), still / setting("stuck_share"))
        if abs(moved) > enough and (best is None or j - i > best.blocks):
            best = Stuck(int(known[i]), j - i, float(np.median(x[i:j])), moved)
    return best
