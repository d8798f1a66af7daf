r"""Scores of forecasts: proper, so that honesty pays.

References
----------
.. [1] T. Gneiting, A. E. Raftery, Strictly proper scoring rules, prediction, and estimation,
   J. American Statistical Association 102 (2007) 359, doi:10.1198/016214506000001437.
"""

from __future__ import annotations

from math import erf, exp, pi, sqrt

import numpy as np
from numpy.typing import ArrayLike, NDArray


def interval_score(
    low: ArrayLike, high: ArrayLike, came: ArrayLike, alpha: float
) -> NDArray[np.float64]:
    r"""Score a central interval.

    .. math:: (u-l) + \tfrac{2}{\alpha}(l-y)^+ + \tfrac{2}{\alpha}(y-u)^+

    Parameters
    ----------
    low, high : float or ndarray
        Ends of the interval, its quantiles alpha/2 and 1 - alpha/2 [unit].
    came : float or ndarray
        What came [unit].
    alpha : float
        Share that may fall outside, for instance 0.2 for p10 to p90 [1].

    Returns
    -------
    ndarray
        The score; less is better [unit].
    """
    bottom, top, y = (np.asarray(v, dtype=np.float64) for v in (low, high, came))
    outside = np.maximum(bottom - y, 0.0) + np.maximum(y - top, 0.0)
    return np.asarray(top - bottom + 2.0 / alpha * outside)


def crps_ensemble(members: NDArray[np.float64], came: float) -> float:
    r"""Score a sample of the forecast by the continuous ranked probability score.

    .. math:: \frac{1}{m}\sum_i |x_i - y| - \frac{1}{2 m^2}\sum_{i,j} |x_i - x_j|

    Parameters
    ----------
    members : ndarray of float64, shape (m,)
        The sample [unit].
    came : float
        What came [unit].

    Returns
    -------
    float
        The score; less is better; for a sample of one the absolute error [unit].
    """
    x = np.sort(members)
    m = len(x)
    weights = 2.0 * np.arange(1, m + 1) - m - 1.0
    return float(np.mean(np.abs(x - came)) - np.sum(weights * x) / m**2)


def crps_gaussian(mean: float, sd: float, came: float) -> float:
    r"""Score a normal distribution by the continuous ranked probability score.

    .. math:: \sigma\left(z(2\Phi(z)-1) + 2\varphi(z) - 1/\sqrt{\pi}\right),\quad
              z = (y-\mu)/\sigma

    Parameters
    ----------
    mean : float
        Mean of the forecast [unit].
    sd : float
        Its standard deviation [unit].
    came : float
        What came [unit].

    Returns
    -------
    float
        The score; less is better [unit].
    """
    z = (came - mean) / sd
    density = exp(-0.5 * z * z) / sqrt(2.0 * pi)
    return sd * (z * erf(z / sqrt(2.0)) + 2.0 * density - 1.0 / sqrt(pi))


def coverage(low: ArrayLike, high: ArrayLike, came: ArrayLike) -> float:
    """Tell how often what came lay in the interval.

    Parameters
    ----------
    low, high : float or ndarray
        Ends of the intervals [unit].
    came : float or ndarray
        What came [unit].

    Returns
    -------
    float
        Share of hits; NaN if there is nothing to count [1].
    """
    y = np.asarray(came, dtype=np.float64)
    if y.size == 0:
        return float("nan")
    return float(np.mean((np.asarray(low) <= y) & (y <= np.asarray(high))))
