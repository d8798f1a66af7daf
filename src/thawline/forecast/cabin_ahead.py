"""Run the cabin ahead: its air, and what it takes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.ahead import look_lengths, noise_ahead, parts_ahead
from thawline.forecast.cabin_law import Law, draw_law, ends_degC, read_heater
from thawline.forecast.cabin_settings import setting as cabin_setting
from thawline.forecast.members import Members, draw_members
from thawline.forecast.settings import setting
from thawline.forecast.situation import Situation
from thawline.warmup.cabin import CabinCase, fit_cabin, lagged_steps, run_cabin_on
from thawline.warmup.discretise import Steps
from thawline.warmup.going_on import Kept
from thawline.warmup.grid import INPUTS
from thawline.warmup.kalman import Filtered
from thawline.warmup.prior import to_values
from thawline.warmup.warmup import Fitted

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class CabinPaths:
    """The cabin's future.

    Parameters
    ----------
    air : ndarray of float64, shape (n, k, m) or None
        Cabin air; None where no model of it exists [degC].
    kW : ndarray of float64, shape (n, k, m)
        Heating of the cabin [kW].
    kept : Kept or None
        Where the cabin's filter stands; None where it was not run.
    """

    air: Array | None
    kW: Array
    kept: Kept | None = None


def _drawn(
    fitted: Fitted | None,
    case: CabinCase,
    now_s: float,
    rng: np.random.Generator,
    kept: Kept | None,
) -> tuple[Members, tuple[str, ...], Kept]:
    """Draw the sample; where readings have left the fit behind, from a fit of its own."""
    fitted = fitted or fit_cabin(case)

    def run(z: Array, _: Array | None, then: Kept | None) -> tuple[Filtered, Kept]:
        return run_cabin_on(case, z, then)

    members = draw_members(fitted, run, case.grid.ends, now_s, rng, kept)
    stands = members.kept
    off = members.z.mean(axis=0) - fitted.mean
    moved = float(off @ np.linalg.solve(fitted.covariance, off))
    if members.effective < setting("effective_sets") and moved > cabin_setting("moved"):
        fitted = fit_cabin(case, like=fitted)
        members = draw_members(fitted, run, case.grid.ends, now_s, rng)
    return members, fitted.names, stands


def _picked(
    members: Members,
    law: Law,
    missed: Array,
    reaches: NDArray[np.bool_],
    rng: np.random.Generator,
) -> tuple[Members, Law, Array]:
    """Let members that get comfortable count more: cabins are built, and set, for comfort."""
    weights = np.where(reaches, 1.0, cabin_setting("fails_odds"))
    sets, paths = weights.shape
    shares = np.cumsum(weights.mean(axis=1)) / weights.mean(axis=1).sum()
    at = np.minimum(np.searchsorted(shares, (rng.uniform() + np.arange(sets)) / sets), sets - 1)
    within = np.cumsum(weights[at], axis=1) / weights[at].sum(axis=1, keepdims=True)
    places = (rng.uniform(size=(sets, 1)) + np.arange(paths)) / paths
    path = np.minimum((places[:, :, None] > within[:, None, :]).sum(axis=2), paths - 1)
    rows = np.broadcast_to(at[:, None], path.shape)
    states = np.take_along_axis(members.states[at], path[:, None, :], axis=2)
    picked = replace(members, z=members.z[at], states=states)
    return picked, law.picked(rows, path), missed[rows, path]


def _eased(
    power_kW: float,
    lengths: tuple[tuple[float, int], ...],
    shape: tuple[int, int],
    rng: np.random.Generator,
) -> Array:
    """Let the power of a cabin that no model describes ease off, each member in its own way."""
    t = np.concatenate([[0.0], np.cumsum([s for step, n in lengths for s in [step] * n])])
    kept = rng.uniform(setting("eased_least"), setting("eased_most"), shape)
    tau = setting("eases_s") * np.exp(setting("eases_sigma") * rng.standard_normal(shape))
    return np.asarray(power_kW * (kept + (1.0 - kept) * np.exp(-t[:, None, None] / tau)))


def run_cabin_ahead(
    fitted: Fitted | None,
    case: CabinCase | None,
    now: Situation,
    outside_degC: float,
    shape: tuple[int, int],
    rng: np.random.Generator,
    kept: Kept | None = None,
) -> CabinPaths:
    """Run the cabin ahead: heated as now until near its set point, then as its controller does.

    Parameters
    ----------
    fitted : Fitted or None
        The cabin's fit.
    case : CabinCase or None
        The cabin's readings.
    now : Situation
        What goes on.
    outside_degC : float
        Air outside, where it is recorded [degC].
    shape : tuple of int
        Parameter sets and paths [1].
    rng : Generator
        Random numbers.
    kept : Kept, optional
        Where the cabin's filter stood before; it changes nothing but the time.

    Returns
    -------
    CabinPaths
        Air and power; power that eases off where there is no model.
    """
    lengths = look_lengths()
    power = now.cabin_kW if now.cabin_on else 0.0
    if case is None or not now.cabin_on:
        return CabinPaths(None, _eased(power, lengths, shape, rng))
    rng = rng.spawn(1)[0]  # what is drawn for the cabin leaves what is drawn for the pack alone
    members, names, kept = _drawn(fitted, case, now.now_s, rng, kept)
    law = draw_law(read_heater(case, power), case, now, shape, rng)
    outside = outside_degC
    if not case.grid.outside_known:  # the cabin has a guess of its own
        outside = float(case.grid.inputs[-1, INPUTS.index("outside")])
    p = to_values(names, members.z)
    ends = ends_degC(law, p["cabin.gain"] / p["cabin.loss"], outside)
    missed = np.zeros(shape)
    if float(case.degC.min()) < now.comfortable_degC:  # it was colder, and it has not come
        least = cabin_setting("not_yet_K") * np.abs(rng.standard_normal(shape))
        missed = np.maximum(members.states[:, 0] + least - now.comfortable_degC, 0.0)
    reaches = ends > now.comfortable_degC + missed
    members, law, missed = _picked(members, law, missed, reaches, rng)
    p = to_values(names, members.z)
    short = lagged_steps(p, case.usual_heat_kW, lengths[0][0])
    x = members.states
    air, kW = _governed(short, x, law, p["cabin.loss"] / p["cabin.gain"], outside, now.now_s, rng)
    return CabinPaths(air - missed, kW, kept)


def _governed(
    short: Steps,
    x: Array,
    law: Law,
    kW_per_K: Array,
    outside_degC: float,
    now_s: float,
    rng: np.random.Generator,
) -> tuple[Array, Array]:
    """Run air and power ahead; the controller follows the air within each step."""
    heats, outer = INPUTS.index("cabin"), INPUTS.index("outside")
    holds = np.where(law.holds, kW_per_K[:, None], 0.0) * law.band_K
    t, soonest = now_s, float(law.freed_s.min())
    air, kW = [x[:, 0]], []
    for steps, step_s, count in parts_ahead(short):
        F, G = steps.F[:, 0], steps.G[:, 0]
        warms, warm = G[:, 0, heats][:, None], G[:, :, heats][:, :, None]
        drift = noise_ahead(steps.Q[:, 0], count, x.shape[-1], rng)
        drift = drift + (G[:, :, outer] * outside_degC)[:, :, None]
        top = law.top_kW if t < soonest else np.where(t < law.freed_s, law.top_kW, law.freed_kW)
        for step in range(count):
            if t >= soonest:
                top = np.where(t < law.freed_s, law.top_kW, law.freed_kW)
            idle = F @ x + drift[step]
            # top * (set - air) / band, and what holds it there; air is idle + warms * power
            power = top * (law.set_degC - idle[:, 0]) + holds * (x[:, 0] - outside_degC)
            power = np.minimum(np.maximum(power / (law.band_K + top * warms), 0.0), top)
            x = idle + warm * power[:, None, :]
            t += step_s
            air.append(x[:, 0])
            kW.append(power)
    kW.append(kW[-1])
    return np.array(air), np.array(kW)
