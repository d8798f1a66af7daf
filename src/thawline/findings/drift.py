r"""Tell a thermometer that drifts from a place that is merely late.

The coldest place follows another thermometer of the pack late, and stays behind it by what heat
flows: :math:`T = c + F_\tau[T_{ref}] - g\,F_\tau[P]` with a first-order lag :math:`F_\tau`. This
is fitted for several lags, and again with a drift :math:`d\,(t - t_0)^+` added; twice the gain in
log-likelihood is compared [1]_.

References
----------
.. [1] Wilks, Ann. Math. Stat. 9 (1938) 60.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
#: Lags that are tried [s].
LAGS_S = (60.0, 150.0, 300.0, 500.0, 800.0, 1200.0)
#: Onsets that are tried [1]; blocks that each side of one must have [1].
TRIED, LEAST = 12, 6
#: Standard deviation of what the model is off by [K], and blocks that count as one [1].
OFF_K, ALIKE = 0.4, 4.0


@dataclass(frozen=True, slots=True)
class Drift:
    """A drift.

    Parameters
    ----------
    at : int
        Block in which it begins [1].
    total_K : float
        How far it is off at the end [K].
    gain : float
        Gain in log-likelihood [1].
    """

    at: int
    total_K: float
    gain: float


def _lagged(values: Array, lag_s: float, step_s: float) -> Array:
    keep = float(np.exp(-step_s / lag_s))
    found = np.empty(len(values))
    now = values[0]
    for i, value in enumerate(values):
        now = keep * now + (1.0 - keep) * value
        found[i] = now
    return found


def _cost(design: Array, y: Array) -> tuple[float, Array]:
    theta, *_ = np.linalg.lstsq(design, y, rcond=None)
    left = y - design @ theta
    return float(left @ left) / (2.0 * OFF_K**2 * ALIKE), np.asarray(theta, dtype=np.float64)


def find_drift(mine: Array, other: Array, heat_kW: Array, step_s: float) -> Drift | None:
    """Find the drift that explains most.

    Parameters
    ----------
    mine, other : ndarray of float64, shape (n,)
        The thermometer and one beside it; NaN where nothing is known [degC].
    heat_kW : ndarray of float64, shape (n,)
        Heat into the pack [kW].
    step_s : float
        Length of a block [s].

    Returns
    -------
    Drift or None
        The best drift, however small; None where too little is known.
    """
    ok = ~np.isnan(mine) & ~np.isnan(other)
    known = np.flatnonzero(ok)
    if len(known) < 4 * LEAST:
        return None
    t = np.arange(len(mine), dtype=np.float64)
    filled = np.interp(t, known, other[known])
    heat = np.nan_to_num(heat_kW)
    y = mine[known]
    best_none = np.inf
    found: Drift | None = None
    best = np.inf
    onsets = np.unique(np.linspace(0, len(known) - 2 * LEAST, TRIED).astype(int))
    for lag in LAGS_S:
        follows = _lagged(filled, lag, step_s)[known]
        behind = _lagged(heat, lag, step_s)[known]
        base = np.stack((np.ones(len(known)), behind), axis=1)
        best_none = min(best_none, _cost(base, y - follows)[0])
        for i in onsets:
            ramp = np.maximum(t[known] - t[known[i]], 0.0)
            cost, theta = _cost(np.column_stack((base, ramp)), y - follows)
            if cost < best:
                best = cost
                found = Drift(int(known[i]), float(theta[-1] * ramp[-1]), cost)
    if found is None:
        return None
    return Drift(found.at, found.total_K, best_none - best)
