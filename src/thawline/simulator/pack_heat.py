"""Heat in the pack: made in cells, passed on by coolant and cans, lost to the air outside."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.current import Electrical
from thawline.simulator.pack import Pack, PackState

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class PackFluxes:
    """Heat that moved during a step.

    Parameters
    ----------
    from_coolant_W : ndarray of float64, shape (modules,)
        Heat from each length of coolant into its module [W].
    resistance_W : float
        Heat made in the cells [W].
    ambient_W : float
        Heat lost to the air outside [W].
    """

    from_coolant_W: Array
    resistance_W: float
    ambient_W: float


def step(
    pack: Pack,
    state: PackState,
    now: Electrical,
    coolant_degC: Array,
    plate_factor: float,
    ambient_degC: float,
    dt_s: float,
) -> tuple[PackState, PackFluxes]:
    """Move the pack on by one step.

    Parameters
    ----------
    pack : Pack
        The build.
    state : PackState
        The pack.
    now : Electrical
        Current and resistances.
    coolant_degC : ndarray of float64, shape (modules,)
        Coolant beside each module [degC].
    plate_factor : float
        How well the plate passes heat at this flow [1].
    ambient_degC : float
        Air outside [degC].
    dt_s : float
        Length of the step [s].

    Returns
    -------
    PackState
        The pack after the step.
    PackFluxes
        Heat that moved.
    """
    n = pack.modules
    made = now.current_A**2 * now.module_ohm
    if now.joint_ohm > 0.0:
        made[pack.weak_module % n] += now.current_A**2 * now.joint_ohm
    made_end = now.current_A**2 * now.end_ohm
    touch = plate_factor * pack.plate_W_per_K / n * pack.contact
    from_coolant = touch * (coolant_degC - state.can)
    outward = pack.core_W_per_K / n * (state.core - state.can)
    lost = pack.ambient_W_per_K * (1.0 - pack.end_share) / n * (state.can - ambient_degC)
    lost_end = pack.ambient_W_per_K * pack.end_share * (state.end - ambient_degC)
    to_end = pack.end_J_per_K / pack.end_lag_s * (state.core[-1] - state.end)
    sideways = np.zeros(n)
    if n > 1:
        loose = np.minimum(pack.contact[:-1], pack.contact[1:])
        between = pack.along_W_per_K * loose * np.diff(state.can)
        sideways[:-1] += between
        sideways[1:] -= between
    core_W = made - outward
    core_W[-1] -= to_end
    can_W = outward + from_coolant + sideways - lost
    after = PackState(
        state.core + core_W * (dt_s / pack.core_J_per_K),
        state.can + can_W * (dt_s / pack.can_J_per_K),
        float(state.end + (to_end + made_end - lost_end) * dt_s / pack.end_J_per_K),
        state.charge + now.current_A * dt_s / pack.capacity_C,
    )
    heat = float(made.sum()) + made_end
    return after, PackFluxes(from_coolant, heat, float(lost.sum()) + lost_end)
