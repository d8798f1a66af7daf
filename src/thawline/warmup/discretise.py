r"""From a continuous linear stochastic model to steps, exactly.

.. math:: \mathrm{d}x = (A x + B u)\,\mathrm{d}t + \mathrm{d}w,\quad
          \mathrm{E}[\mathrm{d}w\,\mathrm{d}w^T] = Q\,\mathrm{d}t

with inputs held over a step h becomes :math:`x_{k+1} = F x_k + G u_k + v_k`, where
:math:`F = e^{A h}`, :math:`G = \int_0^h e^{A s} B\,\mathrm{d}s` and
:math:`\mathrm{Cov}(v) = \int_0^h e^{A s} Q e^{A^T s}\,\mathrm{d}s`.

References
----------
.. [1] C. F. Van Loan, Computing integrals involving the matrix exponential, IEEE Trans.
   Automatic Control 23 (1978) 395, doi:10.1109/TAC.1978.1101743.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]


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
    """Make steps of a continuous model, by Van Loan's method and doubling.

    The blocks of the exponential grow with the fastest time constant, so the exponential is
    taken over a step short enough, which is then doubled; both are exact.

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
    from scipy.linalg import expm  # heavy: only those who fit pay for it

    n, m = A.shape[-1], B.shape[-1]
    lead = A.shape[:-2]
    fastest = float(np.abs(A).sum(axis=-1).max()) * step_s if A.size else 0.0
    doublings = max(0, int(np.ceil(np.log2(max(fastest, 1e-300)))))
    short = step_s / 2.0**doublings
    forced = np.zeros((*lead, n + m, n + m))
    forced[..., :n, :n], forced[..., :n, n:] = A, B
    forced = np.asarray(expm(forced * short))
    van_loan = np.zeros((*lead, 2 * n, 2 * n))
    van_loan[..., :n, :n], van_loan[..., :n, n:] = -A, Q
    van_loan[..., n:, n:] = np.swapaxes(A, -1, -2)
    van_loan = np.asarray(expm(van_loan * short))
    F, G = forced[..., :n, :n], forced[..., :n, n:]
    noise = F @ van_loan[..., :n, n:]
    for _ in range(doublings):
        noise = noise + F @ noise @ np.swapaxes(F, -1, -2)
        G = G + F @ G
        F = F @ F
    return Steps(F, G, (noise + np.swapaxes(noise, -1, -2)) / 2.0)
