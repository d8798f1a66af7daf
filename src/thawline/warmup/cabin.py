"""The cabin as a recording tells of it, what is believed of one, and its fit."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.recording.clock import on_clock
from thawline.recording.flows import Flows
from thawline.recording.recording import Channel, Recording
from thawline.warmup.cabin_clock import cabin_grid, see_air
from thawline.warmup.cabin_network import PARAMETERS as PARAMETERS
from thawline.warmup.cabin_network import STATES as STATES
from thawline.warmup.cabin_network import cabin_steps as cabin_steps
from thawline.warmup.cabin_network import lagged_steps as lagged_steps
from thawline.warmup.going_on import Kept, Task, run_anew, run_task
from thawline.warmup.grid import INPUTS, Grid
from thawline.warmup.heat_sources import held
from thawline.warmup.kalman import Filtered
from thawline.warmup.network import Readout
from thawline.warmup.prior import Prior, to_values
from thawline.warmup.scoring import find_peak
from thawline.warmup.sensing import Seen
from thawline.warmup.settings import belief, setting
from thawline.warmup.warmup import Fitted

Array = NDArray[np.float64]
AIR = "Cabin.HVAC.AmbientAirTemperature"
WANTED = "Cabin.HVAC.IsConditioningRequested"
TARGET = "Cabin.HVAC.TargetTemperature"


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
    t : ndarray of float64, shape (n,)
        The flows' clock from the first step on [s].
    kW, degC : ndarray of float64, shape (n,)
        Heating and air on it [kW, degC].
    set_degC : float or None
        Temperature that the cabin is asked for; None if it is not recorded [degC].
    waits_s : float
        For how long it has been asked for without any power since; 0 where it is heated [s].
    """

    grid: Grid
    seen: Seen
    usual_heat_kW: float
    is_assumed: bool
    t: Array
    kW: Array
    degC: Array
    set_degC: float | None
    waits_s: float = 0.0


def _assumed_kW(recording: Recording, flows: Flows) -> Array | None:
    """Give a usual power while the cabin is wanted, where none is recorded."""
    wanted = recording.channels.get(WANTED)
    if wanted is None:
        return None
    return held(on_clock(wanted, flows.t, recording.gaps)) * setting("cabin_heat_kW")


def _last(channel: Channel | None, until_s: float) -> float | None:
    if channel is None:
        return None
    count = int(np.searchsorted(channel.t, until_s, side="right"))
    return float(channel.values[count - 1]) if count else None


def _waits_s(wanted: Channel | None, t: Array, kW: Array, until_s: float) -> float:
    """Tell for how long a cabin has been asked for without any power since."""
    count = 0 if wanted is None else int(np.searchsorted(wanted.t, until_s, side="right"))
    if wanted is None or not count or wanted.values[count - 1] < 0.5:
        return 0.0
    off = np.flatnonzero(wanted.values[:count] < 0.5)
    since = float(wanted.t[off[-1]] if len(off) else wanted.t[0])
    heated = np.any(kW[(t > since) & (t <= until_s)] > setting("on_kW"))
    return 0.0 if heated else until_s - since


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
        The pack's steps; the cabin's have the same end.
    cabin_kW : ndarray of float64 or None
        Power of the cabin's heaters on the flows' clock; None if it is not recorded [kW].

    Returns
    -------
    CabinCase or None
        None where the cabin's air was not recorded or nothing tells of its heating.
    """
    air, until = recording.channels.get(AIR), float(grid.ends[-1])
    kW = _assumed_kW(recording, flows) if cabin_kW is None else cabin_kW
    if air is None or kW is None or not len(air.t):
        return None
    own = cabin_grid(recording, flows, air, until, grid, kW)
    seen = see_air(air, own)
    if seen is None:
        return None
    busy = kW[(kW > setting("on_kW")) & (flows.t <= until)]
    busy = busy[: own.settled(len(busy))]
    usual = float(busy.mean()) if len(busy) else setting("cabin_heat_kW")
    of = (flows.t > own.ends[0] - own.step_s) & (flows.t <= until)
    degC = held(on_clock(air, flows.t, recording.gaps), float(air.values[0]))
    target = _last(recording.channels.get(TARGET), until)
    waits = 0.0
    if cabin_kW is not None:
        waits = _waits_s(recording.channels.get(WANTED), flows.t, kW, until)
    return CabinCase(
        own, seen, usual, cabin_kW is None, flows.t[of], kW[of], degC[of], target, waits
    )


def cabin_prior(learned: Prior | None, case: CabinCase | None = None) -> tuple[Array, Array]:
    """Put together what is believed of a cabin.

    Its heating is made to keep it warm in the cold: the loss that its power can make up for is
    believed, rather than one of any cabin.

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
        grid = case.grid
        best = max(float(grid.inputs[:, INPUTS.index("cabin")].max()), case.usual_heat_kW)
        i, gain = PARAMETERS.index("cabin.loss"), PARAMETERS.index("cabin.gain")
        # what leaves a cabin in the end is the heat it gets, whatever share of its power that is
        mean[i] = mean[gain] + np.log(best / setting("cabin_made_for_K"))
        covariance[i, gain] = covariance[gain, i] = covariance[gain, gain]
        covariance[i, i] = setting("cabin_made_for_sigma") ** 2 + covariance[gain, gain]
    shared = [name for name in PARAMETERS if learned is not None and name in learned.names]
    if learned is not None and shared:
        here = [PARAMETERS.index(name) for name in shared]
        there = [learned.names.index(name) for name in shared]
        mean[here] = learned.mean[there]
        covariance[np.ix_(here, here)] = learned.covariance[np.ix_(there, there)]
    return mean, covariance


def _first(case: CabinCase) -> tuple[Array, Array]:
    """Believe of a cold cabin that it is soaked, of a warm one that its mass lags behind."""
    begin = float(case.seen.degC[np.isfinite(case.seen.degC)][0])
    power = float(case.grid.inputs[0, INPUTS.index("cabin")]) if case.grid.begins_warm else 0.0
    apart = setting("soak_K")
    mass, spread = begin, apart
    if case.grid.begins_warm:
        outside = float(case.grid.inputs[0, INPUTS.index("outside")])
        mass, spread = (begin + outside) / 2.0, apart + abs(begin - outside) / 2.0
    wander = (setting("cabin_first_wander") * case.usual_heat_kW) ** 2
    unsure = (setting("cabin_first_heat") * power) ** 2
    mean = np.array([begin, mass, 0.0, power, mass])
    return mean, np.diag([apart**2, spread**2, wander, unsure, spread**2])


def _task(case: CabinCase, z: Array) -> Task:
    p, usual, k = to_values(PARAMETERS, z), case.usual_heat_kW, len(z)
    H, D = np.zeros((k, len(STATES))), np.zeros((k, len(INPUTS)))
    H[:, 0] = 1.0
    return Task(
        ("cabin", usual, case.grid.step_s, case.seen.step_K),
        z,
        lambda _, step_s: lagged_steps(p, usual, step_s),
        case.grid,
        (case.seen,),
        (Readout(H, D),),
        _first(case),
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


def fit_cabin(case: CabinCase, learned: Prior | None = None, like: Fitted | None = None) -> Fitted:
    """Fit the cabin's model.

    Parameters
    ----------
    case : CabinCase
        The cabin.
    learned : Prior, optional
        What earlier mornings taught.
    like : Fitted, optional
        An earlier fit of the same cabin: the new one has its prior, as far as earlier mornings
        taught it, and begins from it.

    Returns
    -------
    Fitted
        The fit.
    """
    mean, covariance = cabin_prior(learned, case)
    start = None
    if like is not None:
        start = like.mean
        if not np.allclose(np.diag(like.prior_covariance), np.diag(covariance)):
            mean, covariance = like.prior_mean, like.prior_covariance
    peak = find_peak(lambda z: run_cabin(case, z), mean, covariance, start)
    spread = np.linalg.inv(peak.information + np.linalg.inv(covariance))
    return Fitted(
        PARAMETERS, peak.z, (spread + spread.T) / 2.0, mean, covariance, peak.information,
        peak.log_likelihood, 1.0,
    )  # fmt: skip
