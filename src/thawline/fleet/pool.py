r"""Partial pooling: a vehicle with few mornings borrows from others of its model.

Each vehicle's readings say :math:`\Lambda_i` (information) and :math:`\eta_i = \Lambda_i
\hat\theta_i`; the vehicles of a model are alike, not the same:

.. math:: \theta_i \sim N(\mu, T),\quad \mu \sim N(m_0, V_0),\quad T = \mathrm{diag}(\tau_k^2)

Given T everything is normal [1]_, [2]_:

.. math:: V_\mu^{-1} = V_0^{-1} + \sum_i (I + \Lambda_i T)^{-1}\Lambda_i,\quad
   C_i = (\Lambda_i + T^{-1})^{-1},\quad \theta_i = C_i(\eta_i + T^{-1}\mu)

and what is not known of :math:`\mu` adds :math:`C_i T^{-1} V_\mu T^{-1} C_i`. T is found by EM
[3]_ (empirical Bayes) with a weak prior: :math:`\nu_0` vehicles that spread by
:math:`\tau_0`, so that two vehicles that happen to agree are not taken for one. No inverse of
:math:`\Lambda_i` is needed: it has none where the readings are blind.

References
----------
.. [1] A. Gelman, J. Hill, Data Analysis Using Regression and Multilevel/Hierarchical Models,
   Cambridge 2007, ch. 12.
.. [2] A. Gelman et al., Bayesian Data Analysis, 3rd ed., CRC 2013, ch. 5 and 15.
.. [3] A. P. Dempster, N. M. Laird, D. B. Rubin, J. R. Stat. Soc. B 39 (1977) 1.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.physics.constants import constants

Array = NDArray[np.float64]


def setting(name: str) -> float:
    """Take a setting of this room.

    Parameters
    ----------
    name : str
        Name of the row of ``settings.csv``.

    Returns
    -------
    float
        Its value, in the table's unit.
    """
    return constants("thawline.fleet", "settings.csv")[name]


@dataclass(frozen=True, slots=True)
class Pooled:
    """What vehicles of a model share, and each of them.

    Parameters
    ----------
    mean : ndarray of float64, shape (n, p)
        Each vehicle's parameters [unit].
    covariance : ndarray of float64, shape (n, p, p)
        Their covariance [unit].
    model_mean : ndarray of float64, shape (p,)
        What they share [unit].
    model_covariance : ndarray of float64, shape (p, p)
        Its covariance [unit].
    spread : ndarray of float64, shape (p,)
        Standard deviation from vehicle to vehicle [unit].
    others_mean : ndarray of float64, shape (n, p)
        What all vehicles but each one share: nothing that it told itself; NaN where there is no
        other [unit].
    others_covariance : ndarray of float64, shape (n, p, p)
        Its covariance [unit].
    """

    mean: Array
    covariance: Array
    model_mean: Array
    model_covariance: Array
    spread: Array
    others_mean: Array
    others_covariance: Array


def pool(
    information: Sequence[Array],
    pull: Sequence[Array],
    believed: Array,
    believed_variance: Array,
    usual_spread: Array,
) -> Pooled:
    """Pool the vehicles of one model.

    Parameters
    ----------
    information : sequence of ndarray of float64, shape (p, p)
        What each vehicle's readings tell [1/unit^2].
    pull : sequence of ndarray of float64, shape (p,)
        The same times the most probable values [1/unit].
    believed : ndarray of float64, shape (p,)
        What is believed of the model before [unit].
    believed_variance : ndarray of float64, shape (p,)
        How surely; infinite: nothing is believed [unit^2].
    usual_spread : ndarray of float64, shape (p,)
        How far vehicles of a model usually differ [unit].

    Returns
    -------
    Pooled
        Each vehicle, and what they share.
    """
    one = np.eye(len(believed))
    before = np.diag(1.0 / believed_variance)
    held = setting("spread_prior_vehicles")
    spread2 = usual_spread**2
    for _ in range(int(setting("rounds"))):
        t = np.diag(spread2)
        shrunk = [np.linalg.solve(one + told @ t, np.column_stack([told, pulled]))
                  for told, pulled in zip(information, pull, strict=True)]  # fmt: skip
        precision = before + sum((s[:, :-1] for s in shrunk), np.zeros_like(one))
        model_covariance = np.linalg.inv((precision + precision.T) / 2.0)
        model = model_covariance @ (before @ believed + sum(s[:, -1] for s in shrunk))
        inverse = np.diag(1.0 / spread2)
        alone = [np.linalg.inv(told + inverse) for told in information]
        mean = np.array([c @ (pulled + inverse @ model)
                         for c, pulled in zip(alone, pull, strict=True)])  # fmt: skip
        passed = [c @ inverse for c in alone]
        covariance = np.array([c + b @ model_covariance @ b.T
                               for c, b in zip(alone, passed, strict=True)])  # fmt: skip
        # variance of theta_i - mu given the data, with mu's own doubt passed through
        apart2 = [
            (m - model) ** 2 + np.diag(c + (one - b) @ model_covariance @ (one - b).T)
            for m, c, b in zip(mean, alone, passed, strict=True)
        ]
        was = spread2
        spread2 = (held * usual_spread**2 + np.sum(apart2, axis=0)) / (held + len(mean))
        if float(np.max(np.abs(np.log(spread2 / was)))) < setting("close"):
            break
    every = before @ believed + sum(s[:, -1] for s in shrunk)
    others = [_without(precision - s[:, :-1], every - s[:, -1]) for s in shrunk]
    return Pooled(
        mean, covariance, np.asarray(model), np.asarray(model_covariance), np.sqrt(spread2),
        np.array([m for m, _ in others]), np.array([c for _, c in others]),
    )  # fmt: skip


def _without(precision: Array, pulled: Array) -> tuple[Array, Array]:
    even = (precision + precision.T) / 2.0
    if not np.all(np.diag(even) > setting("nothing_told")):
        return np.full(len(pulled), np.nan), np.full(even.shape, np.nan)
    covariance = np.asarray(np.linalg.inv(even), dtype=np.float64)
    return np.asarray(covariance @ pulled), covariance
