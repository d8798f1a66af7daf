r"""Air: dew point and density.

References
----------
.. [1] O. A. Alduchov, R. E. Eskridge, Improved Magnus form approximation of saturation
   vapor pressure, J. Appl. Meteorol. 35 (1996) 601-609,
   doi:10.1175/1520-0450(1996)035<0601:IMFAOS>2.0.CO;2.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thawline.physics.constants import constants


def dew_point_degC(
    temperature_degC: ArrayLike, relative_humidity_pct: ArrayLike
) -> NDArray[np.float64]:
    r"""Find the dew point over water by the Magnus form.

    .. math:: \gamma = \ln\varphi + \frac{b \vartheta}{c + \vartheta},\quad
              \vartheta_d = \frac{c \gamma}{b - \gamma}

    Within 0.1 K from -40 to 50 degC; below 0 degC it is the dew point over supercooled
    water, not the frost point.

    Parameters
    ----------
    temperature_degC : float or ndarray
        Air temperature [degC].
    relative_humidity_pct : float or ndarray
        Relative humidity over water; not above 0 gives NaN [percent].

    Returns
    -------
    ndarray
        Dew point [degC].
    """
    b, c = constants()["magnus_b"], constants()["magnus_c"]
    t = np.asarray(temperature_degC, dtype=np.float64)
    share = np.asarray(relative_humidity_pct, dtype=np.float64) / 100.0
    gamma = np.log(np.where(share > 0.0, share, np.nan)) + b * t / (c + t)
    return np.asarray(c * gamma / (b - gamma))


def air_density_kg_per_m3(
    temperature_degC: ArrayLike, pressure_Pa: ArrayLike = 101325.0
) -> NDArray[np.float64]:
    r"""Find the density of dry air as an ideal gas, :math:`\rho = p / (R T)`.

    Parameters
    ----------
    temperature_degC : float or ndarray
        Air temperature [degC].
    pressure_Pa : float or ndarray
        Pressure; the standard atmosphere if not given [Pa].

    Returns
    -------
    ndarray
        Density [kg/m3].
    """
    c = constants()
    kelvin = np.asarray(temperature_degC, dtype=np.float64) + c["zero_degC"]
    return np.asarray(np.asarray(pressure_Pa, dtype=np.float64) / (c["air_gas_constant"] * kelvin))
