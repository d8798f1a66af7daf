"""The model's middle as a small linear map: heat in, coldest cell out.

The response of the coldest cell to heat is taken from the fitted lumps and cut down to the few
modes that carry it (eigensystem realisation) [1]_, so that a plan of many steps stays small.

References
----------
.. [1] J.-N. Juang, R. S. Pappa, J. Guidance, Control and Dynamics 8 (1985) 620-627,
   doi:10.2514/3.20031.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.ahead import several, target_weights
from thawline.plan.car import PlanCar
from thawline.plan.clock import Clock
from thawline.plan.settings import setting
from thawline.warmup.discretise import Steps
from thawline.warmup.grid import INPUTS
from thawline.warmup.network import steps_of
from thawline.warmup.prior import to_values

Array = NDArray[np.float64]
#: Modes that are kept at most [1], and what they may miss of the response [1].
MODES, MISSED = 4, 1e-3


@dataclass(frozen=True, slots=True)
class LinearMap:
    """A linear map by steps.

    Parameters
    ----------
    free : ndarray of float64, shape (n + 1,)
        Coldest cell if nothing is heated [degC].
    F : ndarray of float64, shape (r, r)
        How the modes go on [1].
    G : ndarray of float64, shape (r, 2)
        What heat into the pack and heat in the cells add to them [K/kW].
    H : ndarray of float64, shape (r,)
        What they add to the coldest cell [1].
    """

    free: Array
    F: Array
    G: Array
    H: Array

    def rise(self, heat_kW: Array, cells_kW: Array) -> Array:
        """Find what heat adds to the coldest cell.

        Parameters
        ----------
        heat_kW, cells_kW : ndarray of float64, shape (n,)
            Heat into the pack and in the cells [kW].

        Returns
        -------
        ndarray of float64, shape (n + 1,)
            Rise [K].
        """
        x, found = np.zeros(len(self.H)), [0.0]
        for inputs in zip(heat_kW, cells_kW, strict=True):
            x = self.F @ x + self.G @ np.array(inputs)
            found.append(float(self.H @ x))
        return np.array(found)


def middle_steps(car: PlanCar, step_s: float) -> Steps:
    """Make steps of the most probable model, with the coolant flowing.

    Parameters
    ----------
    car : PlanCar
        The car.
    step_s : float
        Length of a step [s].

    Returns
    -------
    Steps
        F, G, Q of one set, without leading axes.
    """
    p = to_values(car.structure.parameters, car.mean[None, :])
    fine = min(setting("fine_s"), step_s)
    share = np.array([car.heating.flow_share])
    steps = several(
        steps_of(car.structure, p, share, car.heating.full_kW, fine), round(step_s / fine)
    )
    return Steps(steps.F[0, 0], steps.G[0, 0], steps.Q[0, 0])


def linear_map(car: PlanCar, clock: Clock, pack_degC: float) -> LinearMap:
    """Cut the model down for a plan.

    Parameters
    ----------
    car : PlanCar
        The car.
    clock : Clock
        The steps.
    pack_degC : float
        Pack at the beginning [degC].

    Returns
    -------
    LinearMap
        The map.
    """
    steps, target = middle_steps(car, clock.step_s), target_weights(car.structure)
    n = len(clock.begins_s)
    x = np.zeros(len(target))
    x[: len(car.structure.lumps)] = pack_degC
    free = [pack_degC]
    for outside in clock.outside:
        x = steps.F @ x + steps.G[:, INPUTS.index("outside")] * outside
        free.append(float(target @ x))
    heat = INPUTS.index("heater" if car.heating.is_heater else "drive")
    cells = steps.G[:, INPUTS.index("cells")]
    into = np.column_stack([steps.G[:, heat], cells])
    response = np.empty((n + 1, 2))
    power = into
    for j in range(n + 1):
        response[j] = target @ power
        power = steps.F @ power
    return LinearMap(np.array(free), *_modes(response))


def _modes(response: Array) -> tuple[Array, Array, Array]:
    """Find the few modes whose response is the one given; shape (n, 2)."""
    rows = min(len(response) // 2, 60)
    if rows < 2:
        last = response[1] / np.where(response[0] == 0.0, 1.0, response[0])
        return np.array([[float(last[0])]]), response[:1], np.ones(1)
    hankel = np.hstack([response[j : j + rows] for j in range(rows)])
    shifted = np.hstack([response[j + 1 : j + 1 + rows] for j in range(rows)])
    U, s, V = np.linalg.svd(hankel, full_matrices=False)
    r = int(np.clip((s > MISSED * s[0] / 100.0).sum(), 1, MODES))
    root = np.sqrt(s[:r])
    F = (U[:, :r].T @ shifted @ V[:r].T) / root[:, None] / root[None, :]
    return F, root[:, None] * V[:r, :2], U[0, :r] * root
