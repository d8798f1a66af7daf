"""Interpolate a rising curve without overshoot.

References
----------
.. [1] F. N. Fritsch, J. Butland, "A method for constructing local monotone piecewise cubic
   interpolants", SIAM J. Sci. Stat. Comput. 5 (1984) 300, doi:10.1137/0905021 (from memory).
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray


def _end_slope(h0: float, h1: float, d0: float, d1: float) -> float:
    """Give the slope at an end from the two nearest chords, kept monotone."""
    slope = ((2.0 * h0 + h1) * d0 - h0 * d1) / (h0 + h1)
    if np.sign(slope) != np.sign(d0):
        return 0.0
    if np.sign(d0) != np.sign(d1) and abs(slope) > 3.0 * abs(d0):
        return 3.0 * d0
    return slope


def monotone_cubic(x: NDArray[np.float64], y: NDArray[np.float64], at: float) -> float:
    r"""Interpolate by piecewise cubics that rise wherever the points rise [1]_ (in this file).

    Inner slopes are weighted harmonic means of the neighbouring chords,
    :math:`m_i = (w_1 + w_2) / (w_1/d_{i-1} + w_2/d_i)` with
    :math:`w_1 = 2 h_i + h_{i-1}` and :math:`w_2 = h_i + 2 h_{i-1}`.

    Parameters
    ----------
    x : ndarray of float64, shape (n,)
        Where, rising; three points at least [unit].
    y : ndarray of float64, shape (n,)
        What, rising [unit].
    at : float
        Where the value is wanted, within the points [unit].

    Returns
    -------
    float
        The value [unit].
    """
    h, d = np.diff(x), np.diff(y) / np.diff(x)
    slopes = np.empty(len(x))
    w1, w2 = 2.0 * h[1:] + h[:-1], h[1:] + 2.0 * h[:-1]
    slopes[1:-1] = (w1 + w2) / (w1 / d[:-1] + w2 / d[1:])
    slopes[0] = _end_slope(h[0], h[1], d[0], d[1])
    slopes[-1] = _end_slope(h[-1], h[-2], d[-1], d[-2])
    i = int(np.clip(np.searchsorted(x, at) - 1, 0, len(h) - 1))
    s = float((at - x[i]) / h[i])
    return float(
        (1.0 + 2.0 * s) * (1.0 - s) ** 2 * y[i]
        + s * (1.0 - s) ** 2 * h[i] * slopes[i]
        + s**2 * (3.0 - 2.0 * s) * y[i + 1]
        + s**2 * (s - 1.0) * h[i] * slopes[i + 1]
    )
