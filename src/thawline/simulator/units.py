r"""Drive units as heaters: winding, iron with housing, and the coolant's jacket.

A standing motor makes heat by a current that turns nothing. The current is bounded, so a
cold winding, whose copper resists less [1]_, makes less heat at first:

.. math:: P = \min(P_{max}, I^2 R_{20} (k + \theta) / (k + 20))

References
----------
.. [1] IEC 60034-1, resistance method; k = 235 K for copper.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.tables import constant

Array = NDArray[np.float64]


@dataclass(frozen=True)
class DriveUnits:
    """What the drive units are built of; all are alike.

    Parameters
    ----------
    positions : tuple of str
        Where they sit; each heats at standstill.
    heat_kW : float
        Heat that one may make at standstill [kW].
    current_heat_kW : float
        Heat at the largest current in a winding at 20 °C [kW].
    winding_share : float
        Share of the heat that arises in the winding; the rest in iron and inverter [1].
    winding_kJ_per_K, iron_kJ_per_K : float
        Heat capacities of one [kJ/K].
    winding_W_per_K : float
        Conductance from winding to iron [W/K].
    jacket_W_per_K : float
        Conductance from iron to coolant [W/K].
    ambient_W_per_K : float
        Conductance from iron to the air outside [W/K].
    hot_from_degC, hot_to_degC : float
        Winding temperatures between which the heat is taken back to nothing [degC].
    ramp_kW_per_s : float
        How fast one changes its heat [kW/s].
    """

    positions: tuple[str, ...]
    heat_kW: float = 3.4
    current_heat_kW: float = 3.8
    winding_share: float = 0.85
    winding_kJ_per_K: float = 3.0
    iron_kJ_per_K: float = 14.0
    winding_W_per_K: float = 75.0
    jacket_W_per_K: float = 300.0
    ambient_W_per_K: float = 1.5
    hot_from_degC: float = 110.0
    hot_to_degC: float = 130.0
    ramp_kW_per_s: float = 0.4


@dataclass(frozen=True, slots=True)
class UnitsState:
    """The drive units at an instant.

    Parameters
    ----------
    winding, iron : ndarray of float64, shape (units,)
        Temperatures [degC].
    heat_W : ndarray of float64, shape (units,)
        Electrical power turned to heat at standstill [W].
    """

    winding: Array
    iron: Array
    heat_W: Array


@dataclass(frozen=True, slots=True)
class UnitFluxes:
    """Heat that moved during a step.

    Parameters
    ----------
    to_coolant_W : ndarray of float64, shape (units,)
        Heat from iron to coolant [W].
    ambient_W : float
        Heat lost to the air outside [W].
    """

    to_coolant_W: Array
    ambient_W: float


def possible_W(units: DriveUnits, state: UnitsState) -> Array:
    """Find the heat that each drive unit can make at standstill.

    Parameters
    ----------
    units : DriveUnits
        The build.
    state : UnitsState
        The drive units.

    Returns
    -------
    ndarray of float64, shape (units,)
        Heat [W].
    """
    k = constant("copper_zero_K")
    copper = (k + state.winding) / (k + constant("winding_reference_degC"))
    full = np.minimum(units.heat_kW, units.current_heat_kW * copper) * 1e3
    span = units.hot_to_degC - units.hot_from_degC
    return np.asarray(full * np.clip((units.hot_to_degC - state.winding) / span, 0.0, 1.0))


def ramped_W(units: DriveUnits, state: UnitsState, wanted_W: Array, dt_s: float) -> Array:
    """Bring the heat towards what is wanted, no faster than the ramp.

    Parameters
    ----------
    units : DriveUnits
        The build.
    state : UnitsState
        The drive units.
    wanted_W : ndarray of float64, shape (units,)
        Heat wanted of each [W].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    ndarray of float64, shape (units,)
        Heat during the step [W].
    """
    most = units.ramp_kW_per_s * 1e3 * dt_s
    return np.asarray(state.heat_W + np.clip(wanted_W - state.heat_W, -most, most))


def step(
    units: DriveUnits,
    state: UnitsState,
    heat_W: Array,
    driving_loss_W: float,
    jacket_degC: Array,
    flowing: float,
    ambient_degC: float,
    dt_s: float,
) -> tuple[UnitsState, UnitFluxes]:
    """Move the drive units on by one step.

    Parameters
    ----------
    units : DriveUnits
        The build.
    state : UnitsState
        The drive units.
    heat_W : ndarray of float64, shape (units,)
        Standstill heat [W].
    driving_loss_W : float
        Heat of driving, all together [W].
    jacket_degC : ndarray of float64, shape (units,)
        Coolant in each jacket [degC].
    flowing : float
        How well the jacket passes heat: 1 with full flow, less without [1].
    ambient_degC : float
        Air outside [degC].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    UnitsState
        The drive units after the step.
    UnitFluxes
        Heat that moved.
    """
    whole = heat_W + driving_loss_W / len(units.positions)
    inward = units.winding_W_per_K * (state.winding - state.iron)
    to_coolant = units.jacket_W_per_K * flowing * (state.iron - jacket_degC)
    lost = units.ambient_W_per_K * (state.iron - ambient_degC)
    share = units.winding_share
    winding = state.winding + (share * whole - inward) * (dt_s / (units.winding_kJ_per_K * 1e3))
    iron_W = (1.0 - share) * whole + inward - to_coolant - lost
    iron = state.iron + iron_W * (dt_s / (units.iron_kJ_per_K * 1e3))
    return UnitsState(winding, iron, heat_W), UnitFluxes(to_coolant, float(lost.sum()))


def heat_content_J(units: DriveUnits, state: UnitsState) -> float:
    """Find the heat that the drive units hold above 0 °C.

    Parameters
    ----------
    units : DriveUnits
        The build.
    state : UnitsState
        The drive units.

    Returns
    -------
    float
        Heat [J].
    """
    winding = units.winding_kJ_per_K * float(state.winding.sum())
    return (winding + units.iron_kJ_per_K * float(state.iron.sum())) * 1e3
