r"""The coolant: half water, half ethylene glycol by mass.

The heat that a volume holds is written as :math:`h(\theta) = a\theta + b\theta^2/2`, with
:math:`a + b\theta` fitted to density times specific heat [1]_ between −30 and 60 °C (within
0.3 %). Volume is taken as constant, so that what flows in flows out.

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


@cache
def _heat_fit() -> tuple[float, float]:
    rows = table("coolant.csv")
    degC = [float(row["temperature_degC"]) for row in rows]
    capacity = [
        float(row["density_kg_per_m3"]) * float(row["specific_heat_J_per_kgK"]) for row in rows
    ]
    slope, start = np.polyfit(degC, capacity, 1)
    return float(start), float(slope)


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
    start, slope = _heat_fit()
    return start * degC + 0.5 * slope * degC * degC


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
    start, slope = _heat_fit()
    return np.asarray((np.sqrt(start * start + 2.0 * slope * heat) - start) / slope)


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
