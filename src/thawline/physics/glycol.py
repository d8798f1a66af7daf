r"""Properties of water with ethylene glycol, and the heat that it carries.

Every property is a polynomial of mass percent and temperature [1]_,

.. math:: f = \sum_{i,j} c_{ij} (100 x - x_0)^i (\vartheta - \vartheta_0)^j,

of the viscosity it is the logarithm. Valid for mass fractions up to 0.6, from the freezing
point to 100 degC; colder values extrapolate, and those beyond -60 degC or 100 degC are
taken at that bound.

References
----------
.. [1] Å. Melinder, Properties of Secondary Working Fluids for Indirect Systems, 2nd ed.,
   International Institute of Refrigeration, 2010; coefficients as published by CoolProp,
   Bell et al., Ind. Eng. Chem. Res. 53 (2014) 2498, doi:10.1021/ie4033999.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thawline.errors import InputError
from thawline.physics.constants import constants, read_table


@cache
def _coefficients(name: str) -> NDArray[np.float64]:
    grid = np.zeros((6, 4))
    for row in read_table("thawline.physics", "glycol.csv"):
        if row["property"] == name:
            grid[int(row["power_of_percent"]), int(row["power_of_degC"])] = float(
                row["coefficient"]
            )
    return grid


def _polynomial(
    name: str, mass_fraction: ArrayLike, temperature_degC: ArrayLike
) -> NDArray[np.float64]:
    known = constants()
    x = np.asarray(mass_fraction, dtype=np.float64)
    highest = known["glycol_highest_fraction"]
    wrong = x[(x < 0.0) | (x > highest)]
    if wrong.size:
        raise InputError(
            f"mass_fraction (={wrong.flat[0]:g}) must be in [0, {highest:g}]",
            cure="give the share of ethylene glycol by mass: 0.5 is common",
        )
    t = np.clip(
        np.asarray(temperature_degC, dtype=np.float64),
        known["glycol_lowest_degC"],
        known["glycol_highest_degC"],
    )
    return np.asarray(
        np.polynomial.polynomial.polyval2d(
            100.0 * x - known["glycol_base_percent"] + np.zeros_like(t),
            t - known["glycol_base_degC"] + np.zeros_like(x),
            _coefficients(name),
        )
    )


def density_kg_per_m3(mass_fraction: ArrayLike, temperature_degC: ArrayLike) -> NDArray[np.float64]:
    """Find the density.

    Parameters
    ----------
    mass_fraction : float or ndarray
        Share of ethylene glycol by mass, 0 to 0.6 [1].
    temperature_degC : float or ndarray
        Temperature [degC].

    Returns
    -------
    ndarray
        Density [kg/m3].

    Raises
    ------
    InputError
        If the mass fraction is out of its range.
    """
    return _polynomial("density", mass_fraction, temperature_degC)


def specific_heat_J_per_kgK(
    mass_fraction: ArrayLike, temperature_degC: ArrayLike
) -> NDArray[np.float64]:
    """Find the specific heat.

    Parameters
    ----------
    mass_fraction : float or ndarray
        Share of ethylene glycol by mass, 0 to 0.6 [1].
    temperature_degC : float or ndarray
        Temperature [degC].

    Returns
    -------
    ndarray
        Specific heat [J/(kg*K)].

    Raises
    ------
    InputError
        If the mass fraction is out of its range.
    """
    return _polynomial("specific_heat", mass_fraction, temperature_degC)


def conductivity_W_per_mK(
    mass_fraction: ArrayLike, temperature_degC: ArrayLike
) -> NDArray[np.float64]:
    """Find the thermal conductivity.

    Parameters
    ----------
    mass_fraction : float or ndarray
        Share of ethylene glycol by mass, 0 to 0.6 [1].
    temperature_degC : float or ndarray
        Temperature [degC].

    Returns
    -------
    ndarray
        Thermal conductivity [W/(m*K)].

    Raises
    ------
    InputError
        If the mass fraction is out of its range.
    """
    return _polynomial("conductivity", mass_fraction, temperature_degC)


def viscosity_mPas(mass_fraction: ArrayLike, temperature_degC: ArrayLike) -> NDArray[np.float64]:
    """Find the dynamic viscosity.

    Parameters
    ----------
    mass_fraction : float or ndarray
        Share of ethylene glycol by mass, 0 to 0.6 [1].
    temperature_degC : float or ndarray
        Temperature [degC].

    Returns
    -------
    ndarray
        Dynamic viscosity [mPa*s].

    Raises
    ------
    InputError
        If the mass fraction is out of its range.
    """
    return np.asarray(np.exp(_polynomial("viscosity", mass_fraction, temperature_degC)))


def freezing_point_degC(mass_fraction: ArrayLike) -> NDArray[np.float64]:
    """Find the temperature at which the first ice forms.

    Parameters
    ----------
    mass_fraction : float or ndarray
        Share of ethylene glycol by mass, 0 to 0.6 [1].

    Returns
    -------
    ndarray
        Freezing point [degC].

    Raises
    ------
    InputError
        If the mass fraction is out of its range.
    """
    return _polynomial("freezing", mass_fraction, constants()["glycol_base_degC"])


def mass_fraction_of_volume_fraction(volume_fraction: ArrayLike) -> NDArray[np.float64]:
    """Turn a mixing ratio by volume into one by mass: half by volume is 52.7 % by mass.

    Parameters
    ----------
    volume_fraction : float or ndarray
        Volume of glycol over the sum of both volumes before mixing, at 20 degC [1].

    Returns
    -------
    ndarray
        Share of ethylene glycol by mass [1].
    """
    v = np.asarray(volume_fraction, dtype=np.float64)
    glycol = v * constants()["glycol_pure_density"]
    water = (1.0 - v) * constants()["water_density"]
    return np.asarray(glycol / (glycol + water))


def coolant_heat_kW(
    flow_l_per_min: ArrayLike,
    inlet_degC: ArrayLike,
    outlet_degC: ArrayLike,
    mass_fraction: ArrayLike = 0.5,
) -> NDArray[np.float64]:
    r"""Find the heat that a coolant gives off between an inlet and an outlet.

    .. math:: \dot Q = \dot V\, \rho(\vartheta_{in})\, c_p(\vartheta_m)\,
              (\vartheta_{in} - \vartheta_{out})

    The flow meter is taken to sit at the inlet, the specific heat at the mean temperature.

    Parameters
    ----------
    flow_l_per_min : float or ndarray
        Volume flow [l/min].
    inlet_degC, outlet_degC : float or ndarray
        Coolant temperatures [degC].
    mass_fraction : float or ndarray
        Share of ethylene glycol by mass, 0 to 0.6 [1].

    Returns
    -------
    ndarray
        Heat given off, positive where the inlet is warmer [kW].

    Raises
    ------
    InputError
        If the mass fraction is out of its range.
    """
    inlet = np.asarray(inlet_degC, dtype=np.float64)
    outlet = np.asarray(outlet_degC, dtype=np.float64)
    litres = np.asarray(flow_l_per_min, dtype=np.float64)
    kg_per_s = litres / 60e3 * density_kg_per_m3(mass_fraction, inlet)
    specific = specific_heat_J_per_kgK(mass_fraction, (inlet + outlet) / 2.0)
    return np.asarray(kg_per_s * specific * (inlet - outlet) / 1e3)
