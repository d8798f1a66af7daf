r"""Find the most probable parameters by Fisher scoring.

Derivatives of all surprises e and their variances S come from one run of the filter over many
parameter sets; they give the gradient of the log-likelihood and the Fisher information at once,

.. math:: g = -\sum \frac{e\,e'}{S} - \frac{S'}{2 S}\left(1 - \frac{e^2}{S}\right),\quad
          F = \sum \frac{e' e'^T}{S} + \frac{S' S'^T}{2 S^2}.

References
----------
.. [1] Levenberg's damping as in J. Nocedal, S. Wright, Numerical Optimization, 2nd ed.,
   Springer 2006, chapter 10.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.kalman import Filtered
from thawline.warmup.settings import setting

Array = NDArray[np.float64]
Run = Callable[[Array], Filtered]


@dataclass(frozen=True, slots=True)
class Peak:
    """The most probable parameters.

    Parameters
    ----------
    z : ndarray of float64, shape (p,)
        The parameters, as the fit works with them [1].
    information : ndarray of float64, shape (p, p)
        Fisher information of the readings alone [1].
    log_likelihood : float
        Of the readings alone, at the peak [1].
    converged : bool
        Whether the next step would be small.
    rounds : int
        Runs of the filter [1].
    filtered : Filtered
        The filter at the peak, its sets from the peak on.
    """

    z: Array
    information: Array
    log_likelihood: float
    converged: bool
    rounds: int
    filtered: Filtered


def _evaluate(run: Run, z: Array, widths: Array) -> tuple[float, Array, Array, Filtered]:
    """Give likelihood, gradient and information of the readings."""
    filtered = run(np.vstack([z, z + np.diag(widths)]))
    e, S = filtered.surprise, filtered.variance
    de = (e[1:] - e[0]) / widths[:, None]
    dS = (S[1:] - S[0]) / widths[:, None]
    gradient = -(de / S[0]) @ e[0] + 0.5 * (dS / S[0] ** 2) @ e[0] ** 2
    dS[:, filtered.is_bound] = 0.0
    gradient -= 0.5 * np.sum(dS / S[0], axis=1)
    information = (de / S[0]) @ de.T + 0.5 * (dS / S[0] ** 2) @ dS.T
    return float(filtered.log_likelihood()[0]), gradient, information, filtered


def find_peak(run: Run, mean: Array, covariance: Array, start: Array | None = None) -> Peak:
    """Climb to the most probable parameters.

    Parameters
    ----------
    run : callable
        Runs the filter for parameters of shape (k, p).
    mean : ndarray of float64, shape (p,)
        Mean of the prior [1].
    covariance : ndarray of float64, shape (p, p)
        Its covariance [1].
    start : ndarray of float64, shape (p,), optional
        Where to begin; the prior's mean if it is not given [1].

    Returns
    -------
    Peak
        The parameters, the information, and whether it converged.
    """
    precision = np.linalg.inv(covariance)
    spread = np.sqrt(np.diag(covariance))
    widths = setting("difference") * np.minimum(spread, 1.0)
    farthest = setting("longest_step") * spread
    z = (mean if start is None else start).copy()
    value, gradient, information, filtered = _evaluate(run, z, widths)

    def posterior(likelihood: float, at: Array) -> float:
        return likelihood - 0.5 * float((at - mean) @ precision @ (at - mean))

    damping, converged, rounds, idle = 1e-2, False, 1, 0
    least = setting("converged_gain")
    while rounds < setting("most_rounds"):
        slope = gradient - precision @ (z - mean)
        curve = information + precision
        promised = 0.5 * float(slope @ np.linalg.solve(curve, slope))
        if promised < least or (idle >= 2 and promised < 10.0 * least):
            converged = True
            break
        step = np.linalg.solve(curve + damping * np.diag(np.diag(curve)), slope)
        step *= min(1.0, float(np.min(farthest / np.maximum(np.abs(step), 1e-12))))
        tried = _evaluate(run, z + step, widths)
        rounds += 1
        gained = posterior(tried[0], z + step) - posterior(value, z)
        idle = idle + 1 if gained < least else 0
        if gained > 0.0:
            z = z + step
            value, gradient, information, filtered = tried
            damping = max(damping / 3.0, 1e-4)
        else:
            damping *= 8.0
            if damping > 1e5:
                break
    return Peak(z, information, value, converged, rounds, filtered)
