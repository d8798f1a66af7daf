r"""Fit resistance against temperature and state of charge.

.. math::
    \ln R = \ln R_0 + \frac{E}{k}\left(\frac1T - \frac1{T_0}\right)
            + c_1 (s_1 - s)^+ + c_2 (s - s_2)^+

with the activation energy *E* [1]_. Resistance rises towards both ends of the charge; how
much is a prior that the recordings correct. The fit is by weighted least squares, twice: the
second time with windows weighted down that lie far off (Huber).

References
----------
.. [1] Activation energies of published parameter sets: electrolyte conductivity 17.1 kJ/mol
   (Ecker et al., J. Electrochem. Soc. 162 (2015) A1836), graphite kinetics 35.0 kJ/mol (Chen
   et al., J. Electrochem. Soc. 167 (2020) 080534): a whole cell lies between or near.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.settings import setting
from thawline.charge.windows import Window
from thawline.physics.constants import constants

Array = NDArray[np.float64]
#: Windows further off than so many standard deviations lose weight [1]; rounds of the fit [1].
FAR, ROUNDS = 2.0, 6


@dataclass(frozen=True, slots=True)
class Fit:
    """Resistance as a function of temperature.

    Parameters
    ----------
    reference_degC : float
        Temperature at which energy and resistance are nearly independent [degC].
    log_ohm, energy_kJ : float
        Logarithm of the resistance there [1], and the activation energy [kJ/mol].
    ends : tuple of float
        Rise of the logarithm towards empty and towards full [1].
    covariance : ndarray of float64, shape (2, 2)
        Of the logarithm and the energy.
    span_K : float
        Temperatures that the windows span, weighted: four standard deviations [K].
    """

    reference_degC: float
    log_ohm: float
    energy_kJ: float
    ends: tuple[float, float]
    covariance: Array
    span_K: float

    def ohm(self, degC: Array, charge: Array | None = None) -> Array:
        """Give the resistance.

        Parameters
        ----------
        degC : ndarray of float64
            Temperature of the pack [degC].
        charge : ndarray of float64, optional
            State of charge, 0 to 1; the middle without it [1].

        Returns
        -------
        ndarray of float64
            Resistance [ohm].
        """
        log = self.log_ohm + self.energy_kJ * inverse(degC, self.reference_degC)
        if charge is not None:
            log = log + towards_ends(charge) @ np.asarray(self.ends)
        return np.asarray(np.exp(log))

    def sigma(self, degC: Array) -> Array:
        """Give the relative standard uncertainty of the resistance.

        Parameters
        ----------
        degC : ndarray of float64
            Temperature of the pack [degC].

        Returns
        -------
        ndarray of float64
            Relative standard uncertainty by scatter [1].
        """
        x = inverse(degC, self.reference_degC)
        c = self.covariance
        return np.asarray(np.sqrt(np.maximum(c[0, 0] + 2.0 * x * c[0, 1] + x * x * c[1, 1], 0.0)))


def inverse(degC: Array, reference_degC: float) -> Array:
    """Give what the energy is multiplied with.

    Parameters
    ----------
    degC : ndarray of float64
        Temperature [degC].
    reference_degC : float
        Temperature at which it is zero [degC].

    Returns
    -------
    ndarray of float64
        :math:`(1/T - 1/T_0)/k`, positive in the cold [mol/kJ].
    """
    zero, k = constants()["zero_degC"], constants()["gas_constant"]
    return np.asarray(1e3 / k * (1.0 / (degC + zero) - 1.0 / (reference_degC + zero)))


def towards_ends(charge: Array) -> Array:
    """Tell how far a state of charge lies towards either end.

    Parameters
    ----------
    charge : ndarray of float64, shape (n,)
        State of charge, 0 to 1; NaN counts as the middle [1].

    Returns
    -------
    ndarray of float64, shape (n, 2)
        How far below and above the middle [1].
    """
    low = np.maximum(setting("end_low_from") - charge, 0.0)
    high = np.maximum(charge - setting("end_high_from"), 0.0)
    return np.asarray(np.nan_to_num(np.stack((low, high), axis=-1)))


def fit(found: Sequence[Window]) -> Fit | None:
    """Fit all windows.

    Parameters
    ----------
    found : sequence of Window
        The windows of one vehicle.

    Returns
    -------
    Fit or None
        None if there are fewer than two.
    """
    if len(found) < 2:
        return None
    degC = np.array([one.degC for one in found])
    log = np.log([one.ohm for one in found])
    relative = np.array([one.sigma_ohm / one.ohm for one in found])
    sigma = np.hypot(relative, setting("window_model_sigma"))
    far = np.ones(len(found))
    ends = towards_ends(np.array([one.charge for one in found]))
    reference = float(np.average(degC, weights=1.0 / sigma**2))
    spread = float(np.sqrt(np.average((degC - reference) ** 2, weights=1.0 / sigma**2)))
    columns = np.column_stack((np.ones(len(found)), inverse(degC, reference), ends))
    prior = np.array([0.0, setting("activation_prior"), setting("end_low_slope"),
                      setting("end_high_slope")])  # fmt: skip
    sure = np.array([1e3, setting("activation_prior_sigma"), setting("end_low_sigma"),
                     setting("end_high_sigma")])  # fmt: skip
    values = prior
    for _ in range(ROUNDS):
        weight = far / sigma**2
        normal = columns.T @ (columns * weight[:, None]) + np.diag(1.0 / sure**2)
        values = np.linalg.solve(normal, columns.T @ (weight * log) + prior / sure**2)
        off = np.abs(log - columns @ values) / sigma
        far = np.where(off > FAR, FAR / np.maximum(off, 1e-9), 1.0)
    chi = float(np.sum(far * off**2)) / max(len(found) - 2, 1)
    covariance = np.linalg.inv(normal)[:2, :2] * max(chi, 1.0)
    return Fit(reference, float(values[0]), float(values[1]), (float(values[2]), float(values[3])),
               covariance, 4.0 * spread)  # fmt: skip
