r"""The cabin: air, and the mass of seats and panels behind it.

.. math::

    C_a \dot T_a &= g P + d - L (T_a - T_o) - G (T_a - T_m) \\
    C_m \dot T_m &= G (T_a - T_m)

with the heating power P, the gain g (heat per electrical power) and a wandering heat d.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.recording.clock import on_clock
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.warmup.discretise import Steps, discretise
from thawline.warmup.going_on import Kept, Task, run_anew, run_task
from thawline.warmup.grid import INPUTS, Grid, step_means
from thawline.warmup.heat_sources import held
from thawline.warmup.kalman import Filtered
from thawline.warmup.network import Readout
from thawline.warmup.prior import Prior, to_values
from thawline.warmup.sensing import Seen, see_one
from thawline.warmup.settings import belief, setting

Array = NDArray[np.float64]
AIR = "Cabin.HVAC.AmbientAirTemperature"
WANTED = "Cabin.HVAC.IsConditioningRequested"
PARAMETERS = (
    "cabin.air_capacity",
    "cabin.loss",
    "cabin.mass_capacity",
    "cabin.mass_conductance",
    "cabin.gain",
    "cabin.noise",
)
STATES = ("air", "mass", "wandering")


@dataclass(frozen=True, slots=True)
class CabinCase:
    """The cabin as the model sees it.

    Parameters
    ----------
    grid : Grid
        Steps with their inputs.
    seen : Seen
        The cabin's air.
    usual_heat_kW : float
        Scale of the heat [kW].
    is_assumed : bool
        Whether the heating power is assumed, because none is recorded.
    """

    grid: Grid
    seen: Seen
    usual_heat_kW: float
    is_assumed: bool


def cabin_case(
    recording: Recording, flows: Flows, grid: Grid, cabin_kW: Array | None
) -> CabinCase | None:
    """Prepare the cabin for the model.

    Parameters
    ----------
    recording : Recording
        The recording.
    flows : Flows
        Its powers.
    grid : Grid
        The pack's steps; the cabin takes the same.
    cabin_kW : ndarray of float64 or None
        Power of the cabin's heaters on the flows' clock; None if it is not recorded [kW].

    Returns
    -------
    CabinCase or None
        None where the cabin's air was not recorded or nothing tells of its heating.
    """
    seen = see_one("cabin", recording.channels.get(AIR), grid)
    if seen is None:
        return None
    assumed = cabin_kW is None
    if cabin_kW is None:
        wanted = recording.channels.get(WANTED)
        if wanted is None:
            return None
        state = held(on_clock(wanted, flows.t, recording.gaps))
        cabin_kW = state * setting("cabin_heat_kW")
    inputs = grid.inputs.copy()
    inputs[:, INPUTS.index("cabin")] = step_means(flows.t, cabin_kW, grid.ends, grid.lengths)
    busy = cabin_kW[(cabin_kW > setting("on_kW")) & (flows.t <= grid.ends[-1])]
    busy = busy[: grid.settled(len(busy))]
    usual = float(busy.mean()) if len(busy) else setting("cabin_heat_kW")
    return CabinCase(replace(grid, inputs=inputs), seen, usual, assumed)


def cabin_prior(learned: Prior | None, case: CabinCase | None = None) -> tuple[Array, Array]:
    """Put together what is believed of a cabin.

    Its heating is made to bring it well past comfort: the loss that the first readings of
    power and air outside then allow is believed, rather than one of any cabin.

    Parameters
    ----------
    learned : Prior or None
        What earlier mornings taught.
    case : CabinCase, optional
        The cabin's readings.

    Returns
    -------
    tuple of ndarray of float64
        Mean, shape (p,), and covariance, shape (p, p), of the logarithms [1].
    """
    watts = {"cabin.loss", "cabin.mass_conductance"}
    known = [belief(name) for name in PARAMETERS]
    values = [
        b.value * (1e-3 if name in watts else 1.0)
        for name, b in zip(PARAMETERS, known, strict=True)
    ]
    mean, covariance = np.log(values), np.diag([b.sigma**2 for b in known])
    if case is not None:
        grid, i = case.grid, PARAMETERS.index("cabin.loss")
        best = max(float(grid.inputs[:, INPUTS.index("cabin")].max()), case.usual_heat_kW)
        cold = float(grid.inputs[0, INPUTS.index("outside")])
        mean[i] = np.log(best / max(setting("cabin_made_for_degC") - cold, 10.0))
        covariance[i, i] = setting("cabin_made_for_sigma") ** 2
    if learned is not None and set(PARAMETERS) <= set(learned.names):
        there = [learned.names.index(name) for name in PARAMETERS]
        return learned.mean[there], learned.covariance[np.ix_(there, there)]
    return mean, covariance


def cabin_steps(p: Mapping[str, Array], usual_heat_kW: float, step_s: float) -> Steps:
    """Make steps of the cabin's model.

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
        F, G, Q with the leading shape (k, 1).
    """
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
    return discretise(A, B, Q, step_s)


def _task(case: CabinCase, z: Array, noise_times: Array | None = None) -> Task:
    p, usual = to_values(PARAMETERS, z), case.usual_heat_kW
    k = len(z)
    H, D = np.zeros((k, 3)), np.zeros((k, len(INPUTS)))
    H[:, 0] = 1.0
    begin = float(case.seen.degC[np.isfinite(case.seen.degC)][0])
    apart = setting("soak_K")
    return Task(
        ("cabin", usual, case.grid.step_s, case.seen.step_K),
        z,
        lambda _, step_s: cabin_steps(p, usual, step_s),
        replace(case.grid, level=np.zeros_like(case.grid.level), flows=np.ones(1)),
        (case.seen,),
        (Readout(H, D),),
        (np.array([begin, begin, 0.0]), np.diag([apart**2, apart**2, 0.01])),
        noise_times,
    )


def run_cabin(case: CabinCase, z: Array) -> Filtered:
    """Run the filter over the cabin for many parameter sets.

    Parameters
    ----------
    case : CabinCase
        The cabin.
    z : ndarray of float64, shape (k, p)
        Parameter sets, as the fit works with them [1].

    Returns
    -------
    Filtered
        Surprises, and the states at the end.
    """
    return run_anew(_task(case, z))


def run_cabin_on(case: CabinCase, z: Array, kept: Kept | None) -> tuple[Filtered, Kept]:
    """Run the filter over the cabin, going on from where an earlier run stood.

    Parameters
    ----------
    case : CabinCase
        The cabin.
    z : ndarray of float64, shape (k, p)
        Parameter sets, as the fit works with them [1].
    kept : Kept or None
        Where an earlier run stood.

    Returns
    -------
    Filtered
        Surprises, and the states at the end; the same as anew.
    Kept
        Where this run stands.
    """
    return run_task(_task(case, z), kept)
