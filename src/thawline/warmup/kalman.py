"""The Kalman filter, for many parameter sets at once.

References
----------
.. [1] N. R. Kristensen, H. Madsen, S. B. Jørgensen, Parameter estimation in stochastic
   grey-box models, Automatica 40 (2004) 225, doi:10.1016/j.automatica.2003.10.001.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.discretise import Steps
from thawline.warmup.grid import Grid
from thawline.warmup.network import Readout
from thawline.warmup.sensing import Seen
from thawline.warmup.settings import setting

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Filtered:
    """What the filter leaves.

    Parameters
    ----------
    surprise : ndarray of float64, shape (k, j)
        Reading less its prediction, reading by reading in order of time; for bounds, how far
        the prediction lay outside [K].
    variance : ndarray of float64, shape (k, j)
        Variance that was expected of it [K2].
    step : ndarray of intp, shape (j,)
        The step of each reading [1].
    sensor : ndarray of intp, shape (j,)
        Which thermometer [1].
    is_bound : ndarray of bool, shape (j,)
        Whether it is a bound and no reading.
    mean : ndarray of float64, shape (k, n)
        States at the end [degC, kW].
    covariance : ndarray of float64, shape (k, n, n)
        Their covariance [degC2, kW2].
    """

    surprise: Array
    variance: Array
    step: NDArray[np.intp]
    sensor: NDArray[np.intp]
    is_bound: NDArray[np.bool_]
    mean: Array
    covariance: Array

    def log_likelihood(self) -> Array:
        """Sum up the logarithm of the likelihood.

        Returns
        -------
        ndarray of float64, shape (k,)
            One per parameter set [1]; a bound that holds adds nothing.
        """
        chi2 = self.surprise**2 / self.variance
        volume = np.where(self.is_bound, 0.0, np.log(2.0 * np.pi * self.variance))
        return np.asarray(-0.5 * np.sum(chi2 + volume, axis=1))


def _outside(predicted: Array, low: float, high: float, soft_K: float) -> tuple[Array, Array]:
    """Tell how far predictions lie outside bounds, with soft corners so that fits are smooth.

    Gives the surprise, and the weight of the bound as a reading: near 0 well inside.
    """
    above, below = (predicted - high) / soft_K, (low - predicted) / soft_K
    surprise = soft_K * (np.logaddexp(0.0, below) - np.logaddexp(0.0, above))
    weight = 1.0 / (1.0 + np.exp(-np.clip(np.maximum(above, below), -50.0, 50.0)))
    return surprise, weight


def run_filter(
    steps: Steps,
    grid: Grid,
    seen: tuple[Seen, ...],
    readouts: tuple[Readout, ...],
    first: tuple[Array, Array],
    noise_times: Array | None = None,
    begin: int = 0,
    after: list[tuple[Array, Array]] | None = None,
) -> Filtered:
    """Run the filter over a recording.

    Parameters
    ----------
    steps : Steps
        The model by steps, with the leading shape (k, m).
    grid : Grid
        Steps with their inputs.
    seen : tuple of Seen
        The thermometers.
    readouts : tuple of Readout
        How each reads the states.
    first : tuple of ndarray of float64
        Mean, shape (n,) or (k, n), and covariance, shape (n, n) or (k, n, n), before the step
        that it begins with [degC, kW].
    noise_times : ndarray of float64, shape (n,), optional
        Factor on the noise of each step, where the car is known to have changed [1].
    begin : int
        The step that it begins with [1].
    after : list, optional
        Where mean and covariance after each step are put [degC, kW].

    Returns
    -------
    Filtered
        Surprises, and the states at the end.
    """
    sets, n = steps.F.shape[0], steps.F.shape[-1]
    count = len(grid.ends)
    forced = np.empty((count, sets, n))
    for level in range(steps.G.shape[1]):
        here = np.flatnonzero(grid.level[begin:] == level) + begin
        forced[here] = np.einsum("kns,ts->tkn", steps.G[:, level], grid.inputs[here])
    F = np.ascontiguousarray(np.moveaxis(steps.F, 1, 0))
    FT = np.ascontiguousarray(np.swapaxes(F, -1, -2))
    Q = np.ascontiguousarray(np.moveaxis(steps.Q, 1, 0))
    shown = [grid.inputs @ r.D.T for r in readouts]
    x, P = np.broadcast_to(first[0], (sets, n)), np.broadcast_to(first[1], (sets, n, n))
    surprises, variances, where = [], [], []
    bound_sd, soft = setting("bound_share"), setting("bound_soft")
    has_value = [np.isfinite(s.degC) for s in seen]
    has_bound = [np.isfinite(s.low) for s in seen]
    for t in range(begin, count):
        level = grid.level[t]
        x = (F[level] @ x[:, :, None])[:, :, 0] + forced[t]
        noise = Q[level] if noise_times is None else Q[level] * noise_times[t]
        P = F[level] @ P @ FT[level] + noise
        for j, s in enumerate(seen):
            value, bound = has_value[j][t], has_bound[j][t]
            if not value and not bound:
                continue
            H = readouts[j].H
            predicted = (H * x).sum(axis=1) + shown[j][t]
            PH = (P @ H[:, :, None])[:, :, 0]
            spread = (H * PH).sum(axis=1)
            if value:
                e = s.degC[t] - predicted
                S = spread + s.sd_K[t] ** 2
                weight = None
            else:
                e, weight = _outside(predicted, s.low[t], s.high[t], soft * s.step_K)
                S = spread + (bound_sd * s.step_K) ** 2
            surprises.append(e)
            variances.append(S)
            where.append((t, j, not value))
            gain = PH / S[:, None]
            x = x + gain * e[:, None]
            if weight is not None:
                gain = gain * weight[:, None]
            P = P - gain[:, :, None] * PH[:, None, :]
        if after is not None:
            after.append((x, P))
    at = np.array(where, dtype=np.intp).reshape(-1, 3)
    empty = np.zeros((0, sets))
    return Filtered(
        np.stack(surprises, axis=1) if surprises else empty.T,
        np.stack(variances, axis=1) if variances else empty.T,
        at[:, 0],
        at[:, 1],
        at[:, 2].astype(np.bool_),
        x,
        (P + np.swapaxes(P, -1, -2)) / 2.0,
    )
