r"""From a continuous linear stochastic model to steps, exactly.

.. math:: \mathrm{d}x = (A x + B u)\,\mathrm{d}t + \mathrm{d}w,\quad
          \mathrm{E}[\mathrm{d}w\,\mathrm{d}w^T] = Q\,\mathrm{d}t

with inputs held over a step h becomes :math:`x_{k+1} = F x_k + G u_k + v_k`, where
:math:`F = e^{A h}`, :math:`G = \int_0^h e^{A s} B\,\mathrm{d}s` and
:math:`\mathrm{Cov}(v) = \int_0^h e^{A s} Q e^{A^T s}\,\mathrm{d}s`.

The three series in powers of h are summed over a step so short that they end soon, all models
of a batch at once, and the step is then doubled [1]_.

References
----------
.. [1] C. Moler, C. Van Loan, Nineteen dubious ways to compute the exponential of a matrix,
   twenty-five years later, SIAM Review 45 (2003) 3, doi:10.1137/S00361445024180 (scaling and
   squaring); the integral of the noise: C. F. Van Loan, IEEE Trans. Automatic Control 23 (1978)
   395, doi:10.1109/TAC.1978.1101743.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]
#: Over a short step rates times its length are no larger than this, and so many terms of the
#: series leave out less than 1e-14 of the transition and 2e-11 of the noise [1]: 0.25**11 / 11!
#: and (2 * 0.25)**11 / 11!.
LARGEST, TERMS = 0.25, 11


@dataclass(frozen=True, slots=True)
class Steps:
    """A model that moves by steps.

    Parameters
    ----------
    F : ndarray of float64, shape (..., n, n)
        Transition of the states [1].
    G : ndarray of float64, shape (..., n, m)
        Effect of inputs that are held over the step [state unit per input unit].
    Q : ndarray of float64, shape (..., n, n)
        Covariance of what the step adds at random [state unit squared].
    """

    F: Array
    G: Array
    Q: Array


def discretise(A: Array, B: Array, Q: Array, step_s: float) -> Steps:
    """Make steps of a continuous model, by series over a short step and doubling.

    Parameters
    ----------
    A : ndarray of float64, shape (..., n, n)
        Rates of the states [1/s].
    B : ndarray of float64, shape (..., n, m)
        Rates by inputs [state unit per input unit and second].
    Q : ndarray of float64, shape (..., n, n)
        Intensity of the noise [state unit squared per second].
    step_s : float
        Length of a step [s].

    Returns
    -------
    Steps
        The model by steps.
    """
    fastest = float(np.abs(A).sum(axis=-1).max()) * step_s if A.size else 0.0
    doublings = max(0, int(np.ceil(np.log2(max(fastest / LARGEST, 1e-300)))))
    h = step_s / 2.0**doublings
    M = A * h
    F = np.broadcast_to(np.eye(A.shape[-1]), A.shape).copy()
    G = forced = B * h
    noise = spread = Q * h
    power = F
    for term in range(1, TERMS):
        power = M @ power / term
        F = F + power
        forced = M @ forced / (term + 1)
        G = G + forced
        spread = M @ spread
        spread = (spread + np.swapaxes(spread, -1, -2)) / (term + 1)
        noise = noise + spread
    for _ in range(doublings):
        noise = noise + F @ noise @ np.swapaxes(F, -1, -2)
        G = G + F @ G
        F = F @ F
    return Steps(F, G, (noise + np.swapaxes(noise, -1, -2)) / 2.0)
