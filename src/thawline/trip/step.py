r"""One step of the road: what the pack gives, and what becomes of its temperatures.

.. math:: P = U_0 I - R(\vartheta) I^2, \qquad C \dot\vartheta = R I^2 - G (\vartheta -
          \vartheta_{out})

The coldest cell has the same heat in it as the others, and comes near their mean with a lag.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.physics.battery import resistance_at_mOhm
from thawline.trip.settings import setting

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class State:
    """Temperatures of all members at an instant.

    Parameters
    ----------
    pack, coldest, cabin, inside : ndarray of float64, shape (k,)
        Mean of the pack, its coldest cell, cabin air, and what is in the cabin [degC].
    """

    pack: Array
    coldest: Array
    cabin: Array
    inside: Array


@dataclass(frozen=True, slots=True)
class FromPack:
    """What the pack gives.

    Parameters
    ----------
    current_A : ndarray of float64, shape (k,)
        Current, negative while it is charged [A].
    out_of_cells_kW, heat_kW : ndarray of float64, shape (k,)
        Power at the rest voltage, and the heat in the cells [kW].
    lacking_kW : ndarray of float64, shape (k,)
        Power that was asked for beyond what so cold a pack can give [kW].
    """

    current_A: Array
    out_of_cells_kW: Array
    heat_kW: Array
    lacking_kW: Array


def from_pack(volts: float, ohm_at_25: Array, pack_degC: Array, asked_kW: Array) -> FromPack:
    """Find the current that a power takes.

    Parameters
    ----------
    volts : float
        Voltage at rest [V].
    ohm_at_25 : ndarray of float64, shape (k,)
        Resistance at 25 degC [ohm].
    pack_degC : ndarray of float64, shape (k,)
        Temperature of the cells [degC].
    asked_kW : ndarray of float64, shape (k,)
        Power at the terminals, negative into the pack [kW].

    Returns
    -------
    FromPack
        Current, power and heat.
    """
    ohm = resistance_at_mOhm(ohm_at_25, pack_degC)
    most = volts**2 / (4.0 * ohm) / 1e3
    given = np.minimum(asked_kW, most)
    root = np.sqrt(np.maximum(volts**2 - 4e3 * ohm * given, 0.0))
    # the small root, written so that it does not lose digits near zero
    current = 2e3 * given / (volts + root)
    return FromPack(current, volts * current / 1e3, ohm * current**2 / 1e3, asked_kW - given)


def cabin_power_kW(
    drawn: Mapping[str, Array], state: State, outside: Array, wish: float | None
) -> Array:
    """Find what the cabin's heating takes: what is lost, and a part of what is missing.

    Parameters
    ----------
    drawn : mapping of str to ndarray of float64, shape (k,)
        Figures of the cars.
    state : State
        Temperatures.
    outside : ndarray of float64, shape (k,)
        Air outside [degC].
    wish : float or None
        What is asked for; None: heating is off [degC].

    Returns
    -------
    ndarray of float64, shape (k,)
        Electrical power [kW].
    """
    if wish is None:
        return np.zeros_like(state.cabin)
    missing = (wish - state.cabin) * drawn["cabin-air"] / setting("cabin_settles_s")
    lost = drawn["cabin-loss"] * (wish - outside)
    lost = lost + drawn["cabin-mass-conductance"] * (state.cabin - state.inside)
    wanted = (missing + lost) / drawn["cabin-gain"]
    return np.asarray(np.clip(wanted, 0.0, drawn["cabin-power"]))


def next_state(
    drawn: Mapping[str, Array],
    state: State,
    outside: Array,
    heat_kW: Array,
    cabin_kW: Array,
    seconds: float,
) -> State:
    """Step the temperatures.

    Parameters
    ----------
    drawn : mapping of str to ndarray of float64, shape (k,)
        Figures of the cars.
    state : State
        Temperatures now.
    outside : ndarray of float64, shape (k,)
        Air outside [degC].
    heat_kW, cabin_kW : ndarray of float64, shape (k,)
        Heat in the cells, and power of the cabin's heating [kW].
    seconds : float
        Length of the step [s].

    Returns
    -------
    State
        Temperatures then.
    """
    into = seconds / drawn["heat-capacity"]
    loss, lag = drawn["heat-loss"], drawn["coldest-lag"]
    pack = state.pack + into * (heat_kW - loss * (state.pack - outside))
    gained = into * (heat_kW - loss * (state.coldest - outside))
    coldest = state.coldest + gained + seconds / lag * (state.pack - state.coldest)
    across = drawn["cabin-mass-conductance"] * (state.cabin - state.inside)
    heat = drawn["cabin-gain"] * cabin_kW - drawn["cabin-loss"] * (state.cabin - outside) - across
    return State(
        pack,
        coldest,
        state.cabin + seconds / drawn["cabin-air"] * heat,
        state.inside + seconds / drawn["cabin-mass"] * across,
    )
