"""Run the cabin ahead: its air, and what it takes."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.ahead import look_lengths, noise_ahead, parts_ahead
from thawline.forecast.members import Members, draw_members
from thawline.forecast.settings import setting
from thawline.forecast.situation import Situation
from thawline.warmup.cabin import CabinCase, cabin_steps, run_cabin_on
from thawline.warmup.going_on import Kept
from thawline.warmup.grid import INPUTS
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


def _made_for_comfort(
    members: Members, names: tuple[str, ...], best_kW: float, needed_K: float
) -> Members:
    """Put sets of cabins that could get warm in the place of those that never could.

    A heating that cannot reach comfort at its best is not built; only if most sets say so is
    it believed.
    """
    p = to_values(names, members.z)
    reach = p["cabin.gain"] * best_kW / p["cabin.loss"]
    able = np.flatnonzero(reach > needed_K + setting("made_above_K"))
    if len(able) < setting("able_share") * len(reach):
        return members
    picked = np.arange(len(reach))
    unable = np.setdiff1d(picked, able)
    picked[unable] = able[np.arange(len(unable)) % len(able)]
    return replace(members, z=members.z[picked], states=members.states[picked])


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
    """Run the cabin ahead: heated as now until it is warm, then held.

    Parameters
    ----------
    fitted : Fitted or None
        The cabin's fit.
    case : CabinCase or None
        The cabin's readings.
    now : Situation
        What goes on.
    outside_degC : float
        Air outside [degC].
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
    if fitted is None or case is None or not now.cabin_on:
        return CabinPaths(None, _eased(power, lengths, shape, rng))
    members = draw_members(
        fitted, lambda z, _, then: run_cabin_on(case, z, then), case.grid.ends, now.now_s, rng, kept
    )
    kept = members.kept
    if power < setting("on_kW"):
        power = case.usual_heat_kW
    best = max(power, float(case.grid.inputs[:, INPUTS.index("cabin")].max()))
    members = _made_for_comfort(members, fitted.names, best, now.comfortable_degC - outside_degC)
    p = to_values(fitted.names, members.z)
    short = cabin_steps(p, case.usual_heat_kW, lengths[0][0])
    holds = now.comfortable_degC + setting("hold_above_K")
    loss, gain = p["cabin.loss"][:, None], p["cabin.gain"][:, None]
    x = members.states
    air, kW = [x[:, 0]], []
    inputs = np.zeros((shape[0], len(INPUTS), shape[1]))
    inputs[:, INPUTS.index("outside")] = outside_degC
    heats, band = INPUTS.index("cabin"), setting("hold_band_K")
    for steps, _, count in parts_ahead(short):
        move = np.concatenate([steps.F[:, 0], steps.G[:, 0]], axis=-1)
        noise = noise_ahead(steps.Q[:, 0], count, shape[1], rng)
        for step in range(count):
            need = loss * (x[:, 0] - outside_degC) / gain
            share = np.minimum(np.maximum((holds - x[:, 0]) / band, 0.0), 1.0)
            inputs[:, heats] = np.minimum(np.maximum(need + share * power, 0.0), power)
            x = move @ np.concatenate([x, inputs], axis=1) + noise[step]
            air.append(x[:, 0])
            kW.append(inputs[:, heats].copy())
    kW.append(kW[-1])
    return CabinPaths(np.array(air), np.array(kW), kept)
