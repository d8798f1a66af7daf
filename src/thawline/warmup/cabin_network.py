r"""The cabin: air, and the mass of seats and panels behind it.

.. math::

    C_a \dot T_a &= g P + d - L (T_a - T_o) - G (T_a - T_m) \\
    C_m \dot T_m &= G (T_a - T_m)

with the heating power P, the gain g (heat per electrical power) and a wandering heat d. Where
readings are followed, the heater lags behind its power, and a part of the loss goes through glass
that must warm up too: without that, the first minutes make the mass seem lighter than it is.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from thawline.warmup.discretise import Steps, discretise
from thawline.warmup.grid import INPUTS
from thawline.warmup.settings import setting

Array = NDArray[np.float64]
PARAMETERS = (
    "cabin.air_capacity",
    "cabin.loss",
    "cabin.mass_capacity",
    "cabin.mass_conductance",
    "cabin.gain",
    "cabin.noise",
    "cabin.slowness",
)
#: States of the model; the last only where the heater's lag counts.
STATES = ("air", "mass", "wandering", "heating", "glass")


def _rates(p: Mapping[str, Array], usual_heat_kW: float) -> tuple[Array, Array, Array]:
    """Give the continuous model: rates, effects of inputs, intensity of noise."""
    k = len(p["cabin.gain"])
    A, B, Q = np.zeros((k, 1, 3, 3)), np.zeros((k, 1, 3, len(INPUTS))), np.zeros((k, 1, 3, 3))
    air, mass = p["cabin.air_capacity"], p["cabin.mass_capacity"]
    loss, between = p["cabin.loss"], p["cabin.mass_conductance"]
    A[:, 0, 0, 0], A[:, 0, 0, 1] = -(loss + between) / air, between / air
    A[:, 0, 1, 0], A[:, 0, 1, 1] = between / mass, -between / mass
    A[:, 0, 0, 2] = 1.0 / air
    slow = setting("cabin_wanders_s")
    A[:, 0, 2, 2] = -1.0 / slow
    B[:, 0, 0, INPUTS.index("cabin")] = p["cabin.gain"] / air
    B[:, 0, 0, INPUTS.index("outside")] = loss / air
    Q[:, 0, 2, 2] = 2.0 / slow * (p["cabin.noise"] * usual_heat_kW) ** 2
    Q[:, 0, 0, 0] = Q[:, 0, 1, 1] = setting("cabin_noise") ** 2
    return A, B, Q


def cabin_steps(p: Mapping[str, Array], usual_heat_kW: float, step_s: float) -> Steps:
    """Make steps of the cabin's model, without the heater's lag.

    Parameters
    ----------
    p : mapping of str to ndarray of float64, shape (k,)
        Parameters by name [kJ/K, kW/K, 1].
    usual_heat_kW : float
        Scale of the wandering heat [kW].
    step_s : float
        Length of a step [s].

    Returns
    -------
    Steps
        F, G, Q with the leading shape (k, 1) and the first three states.
    """
    return discretise(*_rates(p, usual_heat_kW), step_s)


def _glass(loss: Array) -> tuple[Array, Array]:
    """Give the part of the loss that goes through glass, and what reaches the glass [kW/K]."""
    through = setting("cabin_glass_share") * loss
    return through, through / (1.0 - setting("cabin_glass_inside"))


def lagged_steps(p: Mapping[str, Array], usual_heat_kW: float, step_s: float) -> Steps:
    """Make steps of the cabin's model with a heater that must warm up first.

    Parameters
    ----------
    p : mapping of str to ndarray of float64, shape (k,)
        Parameters by name [kJ/K, kW/K, 1].
    usual_heat_kW : float
        Scale of the wandering heat [kW].
    step_s : float
        Length of a step [s].

    Returns
    -------
    Steps
        F, G, Q with the leading shape (k, 1) and all states.
    """
    A3, B3, Q3 = _rates(p, usual_heat_kW)
    k, n, heats, outer = len(A3), len(STATES), INPUTS.index("cabin"), INPUTS.index("outside")
    A, B, Q = np.zeros((k, 1, n, n)), np.zeros((k, 1, n, len(INPUTS))), np.zeros((k, 1, n, n))
    A[..., :3, :3], B[..., :3, :], Q[..., :3, :3] = A3, B3, Q3
    A[..., 0, 3], B[..., 0, heats] = B3[..., 0, heats], 0.0
    # two lags in a row can change places; the heater's is taken as the shorter one
    longest = p["cabin.air_capacity"] / (p["cabin.loss"] + p["cabin.mass_conductance"])
    lag = longest * p["cabin.slowness"] / (1.0 + p["cabin.slowness"])
    A[:, 0, 3, 3], B[:, 0, 3, heats] = -1.0 / lag, 1.0 / lag
    # part of the loss goes through glass, which must warm up too
    air, through, within = p["cabin.air_capacity"], *_glass(p["cabin.loss"])
    A[:, 0, 0, 0] += (through - within) / air
    A[:, 0, 0, 4] = within / air
    B[:, 0, 0, outer] -= through / air
    beyond, slow = through * within / (within - through), setting("cabin_glass_s")
    A[:, 0, 4, 0], A[:, 0, 4, 4] = within / (within + beyond) / slow, -1.0 / slow
    B[:, 0, 4, outer] = beyond / (within + beyond) / slow
    return discretise(A, B, Q, step_s)
