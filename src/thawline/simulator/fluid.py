r"""The coolant: half water, half ethylene glycol by mass.

The temperature follows from the heat *h* that a volume holds by a polynomial,
:math:`\theta = \sum_{i=1}^{4} a_i h^i`, fitted to the integral of density times specific heat
[1]_ between −45 and 100 °C. Volume is taken as constant, so that what flows in flows out.

References
----------
.. [1] Melinder, Properties of Secondary Working Fluids for Indirect Systems, IIR 2010, as
   computed by CoolProp 8.0.0, ``INCOMP::MEG[0.5]``.
"""

from __future__ import annotations

from functools import cache
from math import exp, log

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.tables import on_curve, table

#: Range of the fit [degC], and steps of the inverse [1].
COLD_DEGC, HOT_DEGC, STEPS = -45.0, 100.0, 3


@cache
def _fits() -> tuple[tuple[float, ...], tuple[float, ...]]:
    """Fit heat by temperature and temperature by heat, the highest power first, no constant."""
    rows = table("coolant.csv")
    degC = [float(row["temperature_degC"]) for row in rows]
    capacity = [
        float(row["density_kg_per_m3"]) * float(row["specific_heat_J_per_kgK"]) for row in rows
    ]
    heat = np.polyint(np.polyfit(degC, capacity, 2))[:-1]
    grid = np.linspace(COLD_DEGC, HOT_DEGC, 200)
    held = np.polyval(np.append(heat, 0.0), grid)
    powers = np.stack([held**i for i in (4, 3, 2, 1)], axis=1)
    scale = np.abs(powers).max(axis=0)
    back = np.linalg.lstsq(powers / scale, grid, rcond=None)[0] / scale
    return tuple(float(v) for v in heat), tuple(float(v) for v in back)


@cache
def _viscosity_points() -> tuple[tuple[float, ...], tuple[float, ...]]:
    rows = table("coolant.csv")
    degC = tuple(float(row["temperature_degC"]) for row in rows)
    return degC, tuple(log(float(row["viscosity_mPas"])) for row in rows)


def heat_of(degC: NDArray[np.float64]) -> NDArray[np.float64]:
    """Find the heat that coolant holds above 0 °C.

    Parameters
    ----------
    degC : ndarray of float64
        Temperature [degC].

    Returns
    -------
    ndarray of float64
        Heat per volume [J/m3].
    """
    cubic, _ = _fits()
    heat = np.asarray(np.polyval([*cubic, 0.0], degC))
    per_K = np.polyval(np.polyder([*cubic, 0.0]), degC)
    for _ in range(STEPS):  # the inverse of the other polynomial, to the last digit
        heat = heat + (degC - temperature_of(heat)) * per_K
    return heat


def temperature_of(heat: NDArray[np.float64]) -> NDArray[np.float64]:
    """Find the temperature of coolant from the heat that it holds.

    Parameters
    ----------
    heat : ndarray of float64
        Heat per volume above 0 °C [J/m3].

    Returns
    -------
    ndarray of float64
        Temperature [degC].
    """
    _, (fourth, third, second, first) = _fits()
    return np.asarray(heat * (first + heat * (second + heat * (third + heat * fourth))))


def viscosity_mPas(degC: float) -> float:
    """Find the viscosity of the coolant.

    Parameters
    ----------
    degC : float
        Temperature; taken as the table's ends beyond them [degC].

    Returns
    -------
    float
        Dynamic viscosity [mPa*s].
    """
    points, logs = _viscosity_points()
    return exp(on_curve(degC, points, logs))
