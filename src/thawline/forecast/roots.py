"""Square roots of covariances, to draw from them."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


def square_root(covariance: Array) -> Array:
    """Take the square root of covariances that may be singular.

    Parameters
    ----------
    covariance : ndarray of float64, shape (..., n, n)
        Symmetric, and positive but for rounding.

    Returns
    -------
    ndarray of float64, shape (..., n, n)
        Matrices whose product with their own transpose is the covariance.
    """
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0))[..., None, :])
