r"""A regression that outliers do not steer and few mornings do not overfit.

.. math:: y_i = x_i^\top\beta + \varepsilon_i,\quad \varepsilon_i \sim t_\nu(0, s^2/k_i),\quad
   \beta_j \sim N(0, \tau_j^2)

The t distribution of the residuals is handled by EM [1]_: each morning counts with
:math:`w_i = (\nu+1)/(\nu + k_i r_i^2/s^2)`. Effects of conditions have weakly informative priors
[2]_, so that a few mornings do not make the weather's effect up, and what they leave open of it is
in the uncertainty of the change over time. The information of t residuals is
:math:`(\nu+1)/(\nu+3)` of the normal's [1]_.

References
----------
.. [1] K. L. Lange, R. J. A. Little, J. M. G. Taylor, "Robust statistical modeling using the t
   distribution", J. Am. Stat. Assoc. 84 (1989) 881 (from memory).
.. [2] A. Gelman, A. Jakulin, M. G. Pittau, Y.-S. Su, "A weakly informative default prior
   distribution for logistic and other regression models", Ann. Appl. Stat. 2 (2008) 1360 (from
   memory).
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.trends.measure import setting

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Regressed:
    """A fit.

    Parameters
    ----------
    effects : ndarray of float64, shape (p,)
        Coefficients [unit of y over unit of the column].
    covariance : ndarray of float64, shape (p, p)
        Their covariance [unit].
    scatter : float
        Scale of the residuals [unit of y].
    freedom : float
        Degrees of freedom of that scale [1].
    weights : ndarray of float64, shape (n,)
        How much each row counts, 1 for one in the middle [1].
    """

    effects: Array
    covariance: Array
    scatter: float
    freedom: float
    weights: Array


def regress(x: Array, y: Array, sigma: Array, effect_sigma: Array, usual: float) -> Regressed:
    """Fit.

    Parameters
    ----------
    x : ndarray of float64, shape (n, p)
        Columns: one for the level, then what it depends on [unit].
    y : ndarray of float64, shape (n,)
        What is explained [unit].
    sigma : ndarray of float64, shape (n,)
        Standard uncertainty of each value [unit].
    effect_sigma : ndarray of float64, shape (p,)
        Standard deviation of the prior of each coefficient; infinite: none [unit].
    usual : float
        Scatter that is usual; it counts as a few mornings [unit].

    Returns
    -------
    Regressed
        The fit.
    """
    tails, held = setting("tails"), setting("scatter_prior_mornings")
    precision = np.diag(effect_sigma**-2.0)
    k = usual**2 / (usual**2 + sigma**2)
    scatter2, weights = usual**2, np.ones(len(y))
    effects = np.zeros(x.shape[1])
    freedom = float(len(y))
    for _ in range(int(setting("rounds"))):
        wx = x * (weights * k / scatter2)[:, None]
        bent = np.linalg.inv(x.T @ wx + precision)
        before, effects = effects, bent @ (wx.T @ y)
        freedom = len(y) - float(np.trace(bent @ (x.T @ wx))) + held
        left2 = k * (y - x @ effects) ** 2
        scatter2 = (float(weights @ left2) + held * usual**2) / freedom
        weights = (tails + 1.0) / (tails + left2 / scatter2)
        if float(np.max(np.abs(effects - before))) < setting("close"):
            break
    told = (tails + 1.0) / (tails + 3.0) * (x.T @ (x * (k / scatter2)[:, None]))
    covariance = np.linalg.inv(told + precision)
    most = (tails + 1.0) / tails
    return Regressed(
        effects, np.asarray(covariance), float(np.sqrt(scatter2)), freedom, weights / most
    )
