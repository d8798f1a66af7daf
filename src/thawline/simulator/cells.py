r"""Cells as an electrical source: open-circuit voltage, and a resistance that grows in the cold.

.. math:: R(T) = R_{25} f(s) \exp\left(\frac{E}{R}\left(\frac1T - \frac1{T_{25}}\right)\right)

with the activation energy *E* [1]_ and a factor *f* by state of charge.

References
----------
.. [1] Activation energies of published parameter sets: electrolyte conductivity 17.1 kJ/mol
   (Ecker 2015), graphite kinetics 35.0 kJ/mol (Chen 2020); a whole cell lies between.
"""

from __future__ import annotations

from functools import cache

import numpy as np
from numpy.typing import NDArray

from thawline.errors import RequestError, did_you_mean
from thawline.simulator.tables import constant, on_curve, table


@cache
def _curve(chemistry: str) -> tuple[tuple[float, ...], tuple[float, ...], tuple[float, ...]]:
    rows = [row for row in table("chemistries.csv") if row["chemistry"] == chemistry]
    if not rows:
        known = sorted({row["chemistry"] for row in table("chemistries.csv")})
        raise RequestError(
            f"chemistry (={chemistry!r}) is not known",
            cure=did_you_mean(chemistry, known) or f"it may be {', '.join(known)}",
        )
    charge = tuple(float(row["charge_percent"]) / 100.0 for row in rows)
    volts = tuple(float(row["open_circuit_V"]) for row in rows)
    return charge, volts, tuple(float(row["resistance_factor"]) for row in rows)


def open_circuit_V(chemistry: str, charge: float) -> float:
    """Find the voltage of a cell at rest.

    Parameters
    ----------
    chemistry : str
        ``LFP`` or ``NMC``.
    charge : float
        State of charge, 0 to 1 [1].

    Returns
    -------
    float
        Voltage [V].

    Raises
    ------
    RequestError
        If the chemistry is not known.
    """
    points, volts, _ = _curve(chemistry)
    return on_curve(charge, points, volts)


@cache
def mean_open_circuit_V(chemistry: str) -> float:
    """Find the mean voltage of a cell at rest between empty and full.

    Parameters
    ----------
    chemistry : str
        ``LFP`` or ``NMC``.

    Returns
    -------
    float
        Voltage [V].
    """
    points, volts, _ = _curve(chemistry)
    return float(np.trapezoid(volts, points))


def resistance_by_charge(chemistry: str, charge: float) -> float:
    """Find how much the state of charge raises the resistance.

    Parameters
    ----------
    chemistry : str
        ``LFP`` or ``NMC``.
    charge : float
        State of charge, 0 to 1 [1].

    Returns
    -------
    float
        Factor [1].
    """
    points, _, factors = _curve(chemistry)
    return on_curve(charge, points, factors)


def resistance_by_temperature(
    degC: NDArray[np.float64], activation_J_per_mol: float
) -> NDArray[np.float64]:
    """Find how much the cold raises the resistance.

    Parameters
    ----------
    degC : ndarray of float64
        Cell temperature [degC].
    activation_J_per_mol : float
        Activation energy [J/mol].

    Returns
    -------
    ndarray of float64
        Factor to 25 °C [1].
    """
    zero = constant("zero_degC")
    per_K = activation_J_per_mol / constant("gas_constant")
    reference = 1.0 / (constant("reference_degC") + zero)
    return np.asarray(np.exp(per_K * (1.0 / (degC + zero) - reference)))
