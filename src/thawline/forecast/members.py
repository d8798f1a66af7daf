"""A sample of cars that all fit the readings: parameters, and states now.

Parameter sets are drawn from the fit's posterior, each is run through the filter over all
readings until now, and weighs as much as it explains them [1]_. So readings that came after
the fit count too, and a new fit is due only where few sets still explain them. Until then
weights are flattened so far that some sets remain.

A change of the car, such as a pump that fails, shows as surprises of one sign: their cumulative
sum [2]_, of the latest minutes, says so long before any single one is large.

References
----------
.. [1] Importance sampling: A. Doucet, S. Godsill, C. Andrieu, Statistics and Computing 10
   (2000) 197, doi:10.1023/A:1008935410038.
.. [2] E. S. Page, Continuous inspection schemes, Biometrika 41 (1954) 100,
   doi:10.1093/biomet/41.1-2.100.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.roots import square_root
from thawline.forecast.settings import setting
from thawline.warmup.going_on import Kept
from thawline.warmup.kalman import Filtered
from thawline.warmup.warmup import Fitted

Array = NDArray[np.float64]
#: Runs the filter for parameter sets, with factors on the noise of each step or None, and goes on
#: from where an earlier run stood.
Run = Callable[[Array, Array | None, Kept | None], tuple[Filtered, Kept]]
#: Halvings in the search for a power of the weights [1].
HALVINGS = 20


@dataclass(frozen=True, slots=True)
class Members:
    """The sample.

    Parameters
    ----------
    z : ndarray of float64, shape (k, p)
        Parameter sets, as the fit works with them [1].
    states : ndarray of float64, shape (k, n, m)
        States now, m paths per set [degC, kW].
    effective : float
        How many of the sets drawn still explain the readings [1].
    shaken : bool
        Whether the latest readings were so surprising that noise was raised for them.
    kept : Kept
        Where the filter stands, for the next sample; its first set is the fit itself.
    log_prior : ndarray of float64, shape (j,)
        Logarithm of what each set of the filter weighs before any reading; the fit itself is none
        of the sample [1].
    """

    z: Array
    states: Array
    effective: float
    shaken: bool
    kept: Kept
    log_prior: Array


def _draw_sets(fitted: Fitted, rng: np.random.Generator) -> tuple[Array, Array]:
    """Draw parameter sets in pairs that mirror each other, and their log density."""
    count = int(setting("sets"))
    half = rng.standard_normal((count // 2, len(fitted.mean)))
    normal = np.concatenate([half, -half])
    z = fitted.mean + normal @ square_root(fitted.covariance).T
    return z, -0.5 * np.sum(normal**2, axis=1)


def _log_prior(fitted: Fitted, z: Array, proposal: Array) -> Array:
    precision = np.linalg.inv(fitted.prior_covariance)
    off = z - fitted.prior_mean
    prior = -0.5 * np.einsum("kp,pq,kq->k", off, precision, off)
    return np.asarray(prior - proposal)


def _weights(log: Array) -> Array:
    weights = np.exp(log - log.max())
    return np.asarray(weights / weights.sum())


def effective_sets(weights: Array) -> float:
    """Tell how many equal sets would be worth as much.

    Parameters
    ----------
    weights : ndarray of float64, shape (k,)
        Weights that sum to 1 [1].

    Returns
    -------
    float
        Their effective number [1].
    """
    return float(1.0 / np.sum(weights**2))


def tempered(log: Array, least: float) -> Array:
    """Flatten weights just enough that some sets remain.

    Parameters
    ----------
    log : ndarray of float64, shape (k,)
        Logarithms of the weights [1].
    least : float
        Effective number of sets that must remain [1].

    Returns
    -------
    ndarray of float64, shape (k,)
        Weights that sum to 1 [1].
    """
    if effective_sets(_weights(log)) >= least:
        return _weights(log)
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2.0
        if effective_sets(_weights(middle * log)) >= least:
            low = middle
        else:
            high = middle
    return _weights(low * log)


def _surprise_times(found: Filtered, ends: Array, now_s: float) -> float:
    """Tell how much larger the latest surprises are than expected (mean square)."""
    late = ends[found.step] > now_s - setting("shaken_s")
    if not late.any():
        return 1.0
    scaled = found.surprise[0, late] ** 2 / found.variance[0, late]
    real = ~found.is_bound[late] | (scaled > 1.0)
    return float(np.sum(scaled[real]) / max(int(real.sum()), 4)) if real.any() else 1.0


def cumulative_sum(scaled: Array, slack: float) -> float:
    """Tell how far surprises of one sign have added up, at most.

    Parameters
    ----------
    scaled : ndarray of float64, shape (j,)
        Surprises over their standard deviation, in order of time [1].
    slack : float
        What each must exceed to add up [1].

    Returns
    -------
    float
        The larger of Page's two sums at the end [1].
    """
    up = down = 0.0
    for each in scaled.tolist():
        up, down = max(0.0, up + each - slack), max(0.0, down - each - slack)
    return max(up, down)


def _has_changed(found: Filtered, ends: Array, now_s: float) -> bool:
    """Tell whether the latest surprises, all in all or by their common sign, say so."""
    if _surprise_times(found, ends, now_s) > setting("shaken_times"):
        return True
    late = ends[found.step] > now_s - setting("shaken_s")
    scaled = found.surprise[0, late] / np.sqrt(found.variance[0, late])
    for sensor in np.unique(found.sensor[late]):
        for bounds, least in ((False, "drift_readings"), (True, "drift_bounds")):
            its = (found.sensor[late] == sensor) & (found.is_bound[late] == bounds)
            if cumulative_sum(scaled[its], setting("drift_slack")) > setting(least):
                return True
    return False


def draw_members(
    fitted: Fitted,
    run: Run,
    ends: Array,
    now_s: float,
    rng: np.random.Generator,
    kept: Kept | None = None,
) -> Members:
    """Draw the sample.

    Parameters
    ----------
    fitted : Fitted
        The fit.
    run : callable
        Runs the filter for parameter sets, with factors on the noise of each step or None, from
        where an earlier run stood or None.
    ends : ndarray of float64, shape (n,)
        Ends of the filter's steps [s].
    now_s : float
        The instant [s].
    rng : Generator
        Random numbers.
    kept : Kept, optional
        Where the filter of an earlier sample stood; it changes nothing but the time.

    Returns
    -------
    Members
        Parameter sets and states.
    """
    z, proposal = _draw_sets(fitted, rng)
    everyone = np.vstack([fitted.mean, z])
    found, kept = run(everyone, None, kept)
    shaken = _has_changed(found, ends, now_s)
    if shaken:
        factors = np.where(ends > now_s - setting("shaken_s"), setting("shaken_noise"), 1.0)
        found, _ = run(everyone, factors, kept)
    mean, covariance = found.mean[1:], found.covariance[1:]
    prior = _log_prior(fitted, z, proposal)
    log = found.log_likelihood()[1:] / fitted.widening + prior
    effective = effective_sets(_weights(log))
    weights = tempered(log, setting("effective_sets"))
    count = len(z)
    positions = (rng.uniform() + np.arange(count)) / count
    picked = np.minimum(np.searchsorted(np.cumsum(weights), positions), count - 1)
    paths = int(setting("paths"))
    normal = rng.standard_normal((count, mean.shape[1], paths))
    states = mean[picked][:, :, None] + square_root(covariance[picked]) @ normal
    log_prior = np.concatenate([[-np.inf], prior])
    return Members(z[picked], states, effective, shaken, kept, log_prior)
