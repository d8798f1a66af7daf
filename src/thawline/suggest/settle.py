"""Settle the votes: give each path at most one signal, and say how sure that is.

The log-odds of all cases make a table. The chance of a case is its odds against all rivals
for the same path, against all paths that the same signal could be, and against neither being
right. The best assignment is found as a whole, so that one signal is never given away to a
path that another would fit as well.

References
----------
.. [1] Crouse, D. F.: On implementing 2D rectangular assignment algorithms, IEEE Trans. Aerosp.
   Electron. Syst. 52 (2016) 1679 (the algorithm of ``scipy.optimize.linear_sum_assignment``).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from thawline.suggest.votes import Case


@dataclass(frozen=True, slots=True)
class Settled:
    """A case with its chance.

    Parameters
    ----------
    case : Case
        Path, signal and votes.
    chance : float
        Chance that it is right [1].
    rival : str
        The signal, or the path, that comes next; empty if none is near.
    """

    case: Case
    chance: float
    rival: str = ""


def settle(cases: Mapping[tuple[str, str], Case]) -> tuple[Settled, ...]:
    """Find the best assignment of signals to paths.

    Parameters
    ----------
    cases : mapping of (str, str) to Case
        Cases by path and key.

    Returns
    -------
    tuple of Settled
        At most one for each path and for each signal; those with negative log-odds are left
        out.
    """
    # 0.2 s to import, and only this command needs it
    from scipy.optimize import linear_sum_assignment

    paths = sorted({path for path, _ in cases})
    keys = sorted({key for _, key in cases})
    if not paths:
        return ()
    odds = np.full((len(paths), len(keys)), -np.inf)
    for i, path in enumerate(paths):
        for j, key in enumerate(keys):
            if (path, key) in cases:
                odds[i, j] = cases[path, key].weight
    gain = np.maximum(odds, 0.0)
    rows, columns = linear_sum_assignment(gain, maximize=True)
    found = []
    for i, j in zip(rows.tolist(), columns.tolist(), strict=True):
        if odds[i, j] <= 0.0:
            continue
        chance = min(_chance(odds[i], j), _chance(odds[:, j], i))
        found.append(Settled(cases[paths[i], keys[j]], chance, _rival(odds, i, j, paths, keys)))
    return tuple(found)


def _chance(odds: np.ndarray[tuple[int], np.dtype[np.float64]], at: int) -> float:
    """Weigh one case against its rivals and against none being right."""
    top = max(float(np.max(odds)), 0.0)
    weights = np.exp(odds - top)
    return float(weights[at] / (np.exp(-top) + weights.sum()))


def _rival(
    odds: np.ndarray[tuple[int, int], np.dtype[np.float64]],
    i: int,
    j: int,
    paths: list[str],
    keys: list[str],
) -> str:
    row, column = odds[i].copy(), odds[:, j].copy()
    row[j] = column[i] = -np.inf
    if max(row.max(), column.max()) <= 0.0:
        return ""
    return keys[int(row.argmax())] if row.max() >= column.max() else paths[int(column.argmax())]
