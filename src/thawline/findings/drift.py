r"""Tell a thermometer that drifts from a place that is merely late.

The coldest place follows another thermometer of the pack late, and stays behind it by what heat
flows, and by what heat has flowed, for modules hardly conduct to one another:
:math:`T = c + F_\tau[T_{ref}] - g\,F_\tau[P] - h \int P\,e^{-(t-s)/\theta}` with a first-order lag
:math:`F_\tau` and :math:`g, h \ge 0`: the coldest place is behind, never ahead. This is fitted for
several lags, and again with a drift :math:`d\,(t - t_0)^+` of either sign added; the gain in
log-likelihood is compared [1]_. A sensor that falls behind from the beginning of the heat on, as a
place that gets less heat would, is so taken for the latter.

References
----------
.. [1] Wilks, Ann. Math. Stat. 9 (1938) 60.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import nnls

Array = NDArray[np.float64]
#: Lags that are tried [s].
LAGS_S = (60.0, 150.0, 300.0, 500.0, 800.0, 1200.0)
#: Times in which places that got unlike heat even out [s].
EVENS_S = (1800.0, 7200.0, 1e9)
#: A rise that is counted with at least [K].
LEAST_RISE_K = 2.0
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


def _gathered(heat_kW: Array, evens_s: float, step_s: float) -> Array:
    """Gather heat that fades with time [kWh]."""
    return _lagged(np.concatenate(([0.0], heat_kW[1:])), evens_s, step_s) * evens_s / 3600.0


def _solve(base: Array, signs: Array, y: Array) -> Array:
    """Least squares in which some factors may not be negative; a free one stands twice."""
    free = base[:, signs == 0.0]
    theta, _ = nnls(np.column_stack((base, -free)), y)
    whole = np.asarray(theta[: base.shape[1]].copy(), dtype=np.float64)
    whole[signs == 0.0] -= theta[base.shape[1] :]
    return whole


def _cost(base: Array, signs: Array, most: Array, y: Array) -> tuple[float, Array]:
    """Give minus the log-likelihood at the best factors within their bounds, and these."""
    theta = _solve(base, signs, y)
    over = theta > most
    if over.any():
        rest = _solve(base[:, ~over], signs[~over], y - base[:, over] @ most[over])
        theta[over], theta[~over] = most[over], np.minimum(rest, most[~over])
    left = y - base @ theta
    return float(left @ left) / (2.0 * OFF_K**2 * ALIKE), theta


def find_drift(
    mine: Array, other: Array, heat_kW: Array, step_s: float, unlike: float
) -> Drift | None:
    """Find the drift that explains most.

    Parameters
    ----------
    mine, other : ndarray of float64, shape (n,)
        The thermometer and one beside it; NaN where nothing is known [degC].
    heat_kW : ndarray of float64, shape (n,)
        Heat into the pack [kW].
    step_s : float
        Length of a block [s].
    unlike : float
        Share of the other's rise by which a sound coldest place may be behind for good [1].

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
    rise = max(float(np.ptp(filled)), LEAST_RISE_K) * unlike
    still, moves = np.array([0.0, 1.0, 1.0]), np.array([0.0, 1.0, 1.0, 0.0])
    for lag in LAGS_S:
        follows = _lagged(filled, lag, step_s)[known]
        behind = -_lagged(heat, lag, step_s)[known]
        for evens in EVENS_S:
            apart = -_gathered(heat, evens, step_s)[known]
            base = np.stack((np.ones(len(known)), behind, apart), axis=1)
            most = rise / np.maximum(np.abs(base).max(axis=0), 1e-9)
            most[0] = np.inf
            best_none = min(best_none, _cost(base, still, most, y - follows)[0])
            for i in onsets:
                ramp = np.maximum(t[known] - t[known[i]], 0.0)
                ramp = ramp / max(float(ramp[-1]), 1.0)
                cost, theta = _cost(
                    np.column_stack((base, ramp)), moves, np.append(most, np.inf), y - follows
                )
                if cost < best:
                    best = cost
                    found = Drift(int(known[i]), float(theta[-1]), cost)
    if found is None:
        return None
    return Drift(found.at, found.total_K, best_none - best)
