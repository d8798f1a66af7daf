"""Windings: resistance by temperature, and temperature by resistance.

References
----------
.. [1] IEC 60034-1, Rotating electrical machines, determination of winding temperature by
   the resistance method: (t2 + k) / (t1 + k) = R2 / R1, k = 235 K for copper.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thawline.physics.constants import constants


def resistance_ratio(
    temperature_degC: ArrayLike, reference_degC: ArrayLike = 20.0
) -> NDArray[np.float64]:
    """Find how much a copper winding's resistance differs from that at a reference.

    At one current this is also the ratio of the heat.

    Parameters
    ----------
    temperature_degC : float or ndarray
        Temperature of the winding [degC].
    reference_degC : float or ndarray
        Temperature to compare with [degC].

    Returns
    -------
    ndarray
        Resistance over resistance at the reference, by [1]_ of this file [1].
    """
    k = constants()["copper_k"]
    t = np.asarray(temperature_degC, dtype=np.float64)
    return np.asarray((t + k) / (np.asarray(reference_degC, dtype=np.float64) + k))


def winding_temperature_degC(
    resistance_ohm: ArrayLike, resistance_cold_ohm: ArrayLike, cold_degC: ArrayLike
) -> NDArray[np.float64]:
    """Find the temperature of a copper winding by the resistance method.

    Parameters
    ----------
    resistance_ohm : float or ndarray
        Resistance now [ohm].
    resistance_cold_ohm : float or ndarray
        Resistance at the known temperature [ohm].
    cold_degC : float or ndarray
        The known temperature [degC].

    Returns
    -------
    ndarray
        Mean temperature of the winding [degC].
    """
    k = constants()["copper_k"]
    now = np.asarray(resistance_ohm, dtype=np.float64)
    cold = np.asarray(cold_degC, dtype=np.float64)
    return np.asarray(now / np.asarray(resistance_cold_ohm, dtype=np.float64) * (cold + k) - k)
