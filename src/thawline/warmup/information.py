"""What a recording can tell of the parameters, by its Fisher information."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
#: How each kind of parameter changes if all heat were larger by a factor: powers of it.
SCALES_WITH_HEAT = {
    "heat_capacity": 1.0,
    "loss": 1.0,
    "conductance": 1.0,
    "carries": 1.0,
    "gain": 1.0,
    "resistance": 1.0,
    "transfer": 1.0,
    "rise": 0.0,
    "share": 0.0,
}


def told(information: Array, prior_covariance: Array) -> Array:
    """Tell how much of the prior's variance the readings take away.

    Parameters
    ----------
    information : ndarray of float64, shape (p, p)
        Fisher information of the readings [1].
    prior_covariance : ndarray of float64, shape (p, p)
        Covariance of the prior [1].

    Returns
    -------
    ndarray of float64, shape (p,)
        Share per parameter, between 0 and 1 [1].
    """
    posterior = np.linalg.inv(information + np.linalg.inv(prior_covariance))
    return np.asarray(np.clip(1.0 - np.diag(posterior) / np.diag(prior_covariance), 0.0, 1.0))


def weak_directions(information: Array, prior_covariance: Array) -> tuple[Array, Array]:
    r"""Find the combinations of parameters that the readings tell worst.

    In units of the prior, the information is :math:`S^{T} F S` with :math:`S S^{T}` the
    prior's covariance; along an eigenvector with an eigenvalue below 1 the prior says more
    than the readings.

    Parameters
    ----------
    information : ndarray of float64, shape (p, p)
        Fisher information of the readings [1].
    prior_covariance : ndarray of float64, shape (p, p)
        Covariance of the prior [1].

    Returns
    -------
    tuple of ndarray of float64
        Eigenvalues, rising, shape (p,), and unit vectors in units of the prior, as columns,
        shape (p, p) [1].
    """
    root = np.linalg.cholesky(prior_covariance)
    values, vectors = np.linalg.eigh(root.T @ information @ root)
    return np.asarray(values), np.asarray(vectors)


def scale_direction(names: Sequence[str]) -> Array:
    """Give the direction along which heat, capacities and conductances grow together.

    Parameters
    ----------
    names : sequence of str
        Parameters of the pack's model.

    Returns
    -------
    ndarray of float64, shape (p,)
        Change of each parameter's logarithm [1].
    """
    return np.array([SCALES_WITH_HEAT.get(name.rsplit(".", 1)[-1], 0.0) for name in names])


def scale_told(names: Sequence[str], information: Array) -> float:
    """Tell how far the readings alone fix the scale of heat and capacity together.

    Parameters
    ----------
    names : sequence of str
        Parameters of the pack's model.
    information : ndarray of float64, shape (p, p)
        Fisher information of the readings [1].

    Returns
    -------
    float
        Information along the common scale over that on the pack's capacity alone; near 0:
        only ratios such as P/C and UA/C are told [1].
    """
    along = scale_direction(names)
    i = list(names).index("pack.heat_capacity")
    alone = float(information[i, i])
    return float(along @ information @ along) / alone if alone > 0.0 else 0.0
