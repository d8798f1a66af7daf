r"""Cells and packs: heat capacity, resistance by temperature, and how sure priors are.

A pair ``(value, sigma)`` is a prior and its standard uncertainty. Where a quantity may be
off by a factor, the middle is the geometric mean of its band, and its logarithm is taken as
evenly spread over the band: one standard deviation is the band's width over root 12.

References
----------
.. [1] Arrhenius: :math:`R(T) = R_0 \exp\left(\frac{E}{k}(1/T - 1/T_0)\right)`; energies as in
   the parameter sets of Ecker et al., J. Electrochem. Soc. 162 (2015) A1836,
   doi:10.1149/2.0551509jes, and Chen et al., J. Electrochem. Soc. 167 (2020) 080534,
   doi:10.1149/1945-7111/ab9050.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from thawline.physics.constants import constants, read_table


@cache
def _chemistries() -> dict[str, dict[str, str]]:
    return {row["chemistry"]: row for row in read_table("thawline.physics", "chemistries.csv")}


def _middle(low: float, high: float) -> tuple[float, float]:
    middle = float(np.sqrt(low * high))
    return middle, middle * float(np.log(high / low) / np.sqrt(12.0))


def specific_heat_prior_J_per_kgK(chemistry: str | None = None) -> tuple[float, float]:
    """Give the specific heat of a cell and its standard uncertainty.

    Parameters
    ----------
    chemistry : str, optional
        ``NMC``, ``NCA`` or ``LFP``; anything else gives the middle of all.

    Returns
    -------
    tuple of float
        Specific heat and standard uncertainty [J/(kg*K)].
    """
    row = _chemistries().get((chemistry or "").upper())
    if row is None:
        c = constants()
        return c["specific_heat_default"], c["specific_heat_default_sigma"]
    return float(row["specific_heat_J_per_kgK"]), float(row["sigma_J_per_kgK"])


def nominal_cell_V(chemistry: str | None = None) -> float:
    """Give the nominal voltage of a cell.

    Parameters
    ----------
    chemistry : str, optional
        ``NMC``, ``NCA`` or ``LFP``; anything else is taken as ``NMC``.

    Returns
    -------
    float
        Nominal voltage [V].
    """
    known = _chemistries()
    return float(known.get((chemistry or "").upper(), known["NMC"])["nominal_cell_V"])


def heat_capacity_prior_kJ_per_K(energy_kWh: float) -> tuple[float, float]:
    """Give the heat capacity of a pack that nobody has measured.

    Parameters
    ----------
    energy_kWh : float
        Usable energy of the pack [kWh].

    Returns
    -------
    tuple of float
        Heat capacity and standard uncertainty [kJ/K].
    """
    c = constants()
    middle, sigma = _middle(c["pack_heat_capacity_low"], c["pack_heat_capacity_high"])
    return middle * energy_kWh, sigma * energy_kWh


def heat_loss_prior_W_per_K(energy_kWh: float) -> tuple[float, float]:
    """Give the conductance from a pack to the air outside that nobody has measured.

    Parameters
    ----------
    energy_kWh : float
        Usable energy of the pack [kWh].

    Returns
    -------
    tuple of float
        Conductance and standard uncertainty [W/K].
    """
    c = constants()
    middle, sigma = _middle(c["pack_conductance_low"], c["pack_conductance_high"])
    return middle * energy_kWh, sigma * energy_kWh


def arrhenius_factor(
    temperature_degC: ArrayLike,
    activation_kJ_per_mol: ArrayLike,
    reference_degC: ArrayLike = 25.0,
) -> NDArray[np.float64]:
    """Find how much slower a process is than at a reference temperature.

    Parameters
    ----------
    temperature_degC : float or ndarray
        Temperature [degC].
    activation_kJ_per_mol : float or ndarray
        Activation energy [kJ/mol].
    reference_degC : float or ndarray
        Temperature at which the factor is 1 [degC].

    Returns
    -------
    ndarray
        Resistance over resistance at the reference; above 1 in the cold [1].
    """
    c = constants()
    kelvin = np.asarray(temperature_degC, dtype=np.float64) + c["zero_degC"]
    reference = np.asarray(reference_degC, dtype=np.float64) + c["zero_degC"]
    energy = np.asarray(activation_kJ_per_mol, dtype=np.float64) * 1e3
    return np.asarray(np.exp(energy / c["gas_constant"] * (1.0 / kelvin - 1.0 / reference)))


def resistance_prior_mOhm(
    energy_kWh: float, pack_voltage_V: float, chemistry: str | None = None
) -> tuple[float, float]:
    r"""Give the resistance near 25 degC of a pack that nobody has measured.

    A cell's resistance times its capacity is much the same for all sizes,
    :math:`R Q = a`; in a pack of n cells in series :math:`R = n a / Q` with
    :math:`n = U / U_{cell}` and :math:`Q = E / U`.

    Parameters
    ----------
    energy_kWh : float
        Usable energy of the pack [kWh].
    pack_voltage_V : float
        Voltage of the pack near half charge [V].
    chemistry : str, optional
        ``NMC``, ``NCA`` or ``LFP``.

    Returns
    -------
    tuple of float
        Resistance and standard uncertainty [mOhm].
    """
    c = constants()
    cells = pack_voltage_V / nominal_cell_V(chemistry)
    capacity = energy_kWh * 1e3 / pack_voltage_V
    middle = cells * c["cell_resistance_capacity_product"] / capacity * 1e3
    return middle, middle * float(np.log(c["cell_resistance_capacity_spread"]))


def resistance_at_mOhm(
    resistance_mOhm: ArrayLike, temperature_degC: ArrayLike, reference_degC: ArrayLike = 25.0
) -> NDArray[np.float64]:
    """Carry a pack's resistance to another temperature by the prior activation energy.

    Parameters
    ----------
    resistance_mOhm : float or ndarray
        Resistance at the reference [mOhm].
    temperature_degC : float or ndarray
        Temperature of the pack [degC].
    reference_degC : float or ndarray
        Temperature at which the resistance is known [degC].

    Returns
    -------
    ndarray
        Resistance at the temperature [mOhm].
    """
    factor = arrhenius_factor(temperature_degC, constants()["activation_energy"], reference_degC)
    return np.asarray(np.asarray(resistance_mOhm, dtype=np.float64) * factor)
