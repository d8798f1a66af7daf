r"""Are the surprises random? Two tests.

Ljung and Box: :math:`Q = n(n+2)\sum_{k=1}^{m} \hat\rho_k^2/(n-k)` is chi-square with m degrees
of freedom if they are.  Cumulated periodogram: the share of variance at low frequencies grows
in proportion to frequency; its largest distance from that line follows Kolmogorov and Smirnov.

References
----------
.. [1] G. M. Ljung, G. E. P. Box, On a measure of lack of fit in time series models,
   Biometrika 65 (1978) 297, doi:10.1093/biomet/65.2.297.
.. [2] M. S. Bartlett, An Introduction to Stochastic Processes, Cambridge 1955 (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def autocorrelation(values: Array, lags: int) -> Array:
    """Find the autocorrelation of a series.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        The series, evenly spaced [unit].
    lags : int
        How many lags [1].

    Returns
    -------
    ndarray of float64, shape (lags,)
        Correlation at lag 1, 2, ... [1].
    """
    centred = values - values.mean()
    power = float(centred @ centred)
    if power <= 0.0:
        return np.zeros(lags)
    return np.array([float(centred[k:] @ centred[:-k]) / power for k in range(1, lags + 1)])


def ljung_box(values: Array, lags: int) -> float:
    """Test a series for autocorrelation.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        The series, evenly spaced [unit].
    lags : int
        How many lags [1].

    Returns
    -------
    float
        Probability of as much correlation or more in a random series [1].
    """
    from scipy.special import chdtrc  # heavy: only those who fit pay for it

    n = len(values)
    rho = autocorrelation(values, lags)
    q = n * (n + 2.0) * float(np.sum(rho**2 / (n - np.arange(1, lags + 1))))
    return float(chdtrc(lags, q))


def cumulated_periodogram(values: Array) -> tuple[Array, float]:
    """Cumulate the periodogram of a series.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        The series, evenly spaced [unit].

    Returns
    -------
    ndarray of float64, shape (m,)
        Share of variance up to each frequency, m about n/2 [1].
    float
        Probability of as large a distance from the straight line in a random series [1].
    """
    from scipy.special import kolmogorov  # heavy: only those who fit pay for it

    power = np.abs(np.fft.rfft(values - values.mean())) ** 2
    power = power[1 : (len(values) - 1) // 2 + 1]
    share = np.cumsum(power) / max(float(power.sum()), 1e-300)
    m = len(share)
    apart = float(np.max(np.abs(share - np.arange(1, m + 1) / m)))
    return np.asarray(share), float(kolmogorov(np.sqrt(m) * apart))
