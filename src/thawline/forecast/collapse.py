r"""Whether heat still reaches the pack, where no flow meter tells.

A coldest cell in whole degrees says nothing for minutes; what speaks then is the step that
does not come. So two kinds of cars are held against each other over the latest minutes: one that
goes on as before, and cars whose coolant has stood since one of several instants. Both begin from
where the filter stood then, and every reading counts: a value by its density, a reading that is
still the same by the chance that the temperature is still within its step [1]_. What it tells
of the states is kept by its two moments [2]_. The chance of a standstill follows by Bayes' rule;
before the readings it is that of a rare failure.

References
----------
.. [1] R. E. Kass, A. E. Raftery, Bayes factors, J. American Statistical Association 90 (1995)
   773, doi:10.1080/01621459.1995.10476572.
.. [2] Moments of a truncated normal distribution: N. L. Johnson, S. Kotz, N. Balakrishnan,
   Continuous Univariate Distributions 1, 2nd ed., Wiley 1994, section 10.1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import log_ndtr

from thawline.forecast.members import Members
from thawline.forecast.settings import setting
from thawline.warmup.case import Case, usual_heat_kW
from thawline.warmup.going_on import Kept
from thawline.warmup.grid import INPUTS
from thawline.warmup.network import readout, steps_of
from thawline.warmup.prior import to_values
from thawline.warmup.sensing import Seen
from thawline.warmup.settings import setting as warmup_setting
from thawline.warmup.structure import Structure
from thawline.warmup.warmup import WarmUp

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Collapse:
    """How likely heat no longer reaches the pack, and how the car then stands.

    Parameters
    ----------
    chance : float
        That it does not [1].
    since_s : float
        Since when, most likely [s].
    which : ndarray of intp, shape (c,)
        The parameter set of each candidate [1].
    weights : ndarray of float64, shape (c,)
        How likely each is, summing to 1 [1].
    mean : ndarray of float64, shape (c, n)
        Its states now [degC, kW].
    covariance : ndarray of float64, shape (c, n, n)
        Their covariance [degC2, kW2].
    """

    chance: float
    since_s: float
    which: NDArray[np.intp]
    weights: Array
    mean: Array
    covariance: Array


@dataclass(frozen=True, slots=True)
class _Move:
    """One step of one kind of car: F, forced states and Q, each with the leading shape (m,)."""

    F: Array
    forced: Array
    Q: Array


def _moves(case: Case, structure: Structure, z: Array, begin: int) -> tuple[list[_Move], ...]:
    """Give each step for a car that goes on, and for one whose coolant stands."""
    grid, usual = case.grid, usual_heat_kW(case)
    p = to_values(structure.parameters, z)
    shares = np.array([float(grid.flows[grid.level[-1]]) or 1.0, 0.0])
    lengths = grid.lengths[begin:].tolist()
    made = {s: steps_of(structure, p, shares, usual, s) for s in set(lengths)}
    return tuple(
        [
            _Move(made[s].F[:, i], made[s].G[:, i] @ fed, made[s].Q[:, i])
            for s, fed in zip(lengths, grid.inputs[begin:], strict=True)
        ]
        for i in (0, 1)
    )


def log_within(low: Array, high: Array) -> Array:
    """Give the logarithm of a standard normal's chance to lie between two ends.

    Parameters
    ----------
    low, high : ndarray of float64
        The ends, rising [1].

    Returns
    -------
    ndarray of float64
        Logarithms [1].
    """
    mirror = low > 0.0  # in the upper tail, look from the other side: no digits are lost
    a, b = np.where(mirror, -high, low), np.where(mirror, -low, high)
    upper, lower = log_ndtr(b), log_ndtr(a)
    return np.asarray(upper + np.log(-np.expm1(np.minimum(lower - upper, -1e-12))))


def truncated(low: Array, high: Array) -> tuple[Array, Array, Array]:
    """Give what is left of a standard normal distribution between two ends.

    Parameters
    ----------
    low, high : ndarray of float64
        The ends, rising [1].

    Returns
    -------
    tuple of ndarray of float64
        Logarithm of the chance to lie there, mean and variance [1].
    """
    log_chance = log_within(low, high)
    root = 0.5 * np.log(2.0 * np.pi)
    at_low = np.exp(np.minimum(-0.5 * low**2 - root - log_chance, 700.0))
    at_high = np.exp(np.minimum(-0.5 * high**2 - root - log_chance, 700.0))
    mean = np.clip(at_low - at_high, low, high)
    variance = 1.0 + low * at_low - high * at_high - mean**2
    return log_chance, mean, np.clip(variance, 1e-6, 1.0)


def _taken_in(
    x: Array, P: Array, H: Array, shown: Array, s: Seen, t: int
) -> tuple[Array, Array, Array]:
    """Take one reading in: states after it, and the logarithm of its likelihood."""
    predicted = (H * x).sum(axis=-1) + shown
    PH = (P @ H[..., None])[..., 0]
    spread = (H * PH).sum(axis=-1)
    if np.isfinite(s.degC[t]):
        S = spread + s.sd_K[t] ** 2
        e = s.degC[t] - predicted
        log = -0.5 * (e**2 / S + np.log(2.0 * np.pi * S))
        moved, shrunk = e / S, 1.0 / S
    else:
        S = spread + (warmup_setting("edge_share") * s.step_K) ** 2 + s.sd_K[t] ** 2
        sd = np.sqrt(S)
        log, mean, variance = truncated((s.low[t] - predicted) / sd, (s.high[t] - predicted) / sd)
        moved, shrunk = mean / sd, (1.0 - variance) / S
    x = x + PH * moved[..., None]
    P = P - shrunk[..., None, None] * PH[..., :, None] * PH[..., None, :]
    return x, P, log


def _weigh(
    case: Case, structure: Structure, z: Array, begin: int, onsets: NDArray[np.intp],
    first: tuple[Array, Array],
) -> tuple[Array, Array, Array]:  # fmt: skip
    """Run all kinds of cars: log-likelihoods (h, m), means and covariances at the end."""
    goes_on, stands = _moves(case, structure, z, begin)
    p = to_values(structure.parameters, z)
    readouts = [readout(structure, p, s.name) for s in case.seen]
    shape = (len(onsets), len(z))
    x = np.broadcast_to(first[0], (*shape, first[0].shape[-1]))
    P = np.broadcast_to(first[1], (*shape, *first[1].shape[-2:]))
    log, unit = np.zeros(shape), np.eye(x.shape[-1])
    # where no lump lies between heat and pack, what is under way still comes, and fades
    fade = float(np.exp(-case.grid.step_s / setting("collapse_fades_s")))
    for k, (one, other) in enumerate(zip(goes_on, stands, strict=True)):
        t = begin + k
        still = (onsets <= t)[:, None, None]
        F = np.where(still[..., None], other.F, one.F)
        forced = np.where(still, other.forced, one.forced)
        if not structure.hot:
            left = np.where(still, fade ** np.maximum(t - onsets, 0)[:, None, None], 1.0)
            F, forced = unit + left[..., None] * (F - unit), left * forced
        x = (F @ x[..., None])[..., 0] + forced
        P = F @ P @ np.swapaxes(F, -1, -2) + np.where(still[..., None], other.Q, one.Q)
        for s, r in zip(case.seen, readouts, strict=True):
            if np.isfinite(s.degC[t]) or np.isfinite(s.low[t]):
                x, P, more = _taken_in(x, P, r.H, r.D @ case.grid.inputs[t], s, t)
                log = log + more
    return log, x, P


def _log_before(kept: Kept, begin: int) -> Array:
    """Sum the likelihood of the readings before a step, set by set."""
    found = kept.filtered
    count = int(np.searchsorted(found.step, begin))
    surprise, variance = found.surprise[:, :count], found.variance[:, :count]
    volume = np.where(found.is_bound[:count], 0.0, np.log(variance))
    return np.asarray(-0.5 * np.sum(surprise**2 / variance + volume, axis=1))


def _onsets(begin: int, case: Case) -> NDArray[np.intp]:
    """Choose the steps with which a standstill may have begun; the first stands for none."""
    ends, count = case.grid.ends, int(setting("collapse_onsets"))
    last = int(np.searchsorted(ends, ends[-1] - setting("collapse_least_s")))
    steps = np.unique(np.linspace(begin, max(last, begin), count).round())
    return np.concatenate([[len(ends)], steps]).astype(np.intp)


def _arrived(case: Case, structure: Structure, begun: int) -> int:
    """Tell after which step heat had been seen to reach the pack: it takes minutes at first."""
    name = next((n for n in ("coldest", "bulk", "warmest") if n in structure.seen), None)
    seen = next((s for s in case.seen if s.name == name), None)
    if seen is None:
        return len(case.grid.ends)
    level = np.where(np.isfinite(seen.degC), seen.degC, (seen.low + seen.high) / 2.0)
    known = level[begun:][np.isfinite(level[begun:])]
    if not len(known):
        return len(case.grid.ends)
    least = max(setting("collapse_seen_K"), setting("collapse_seen_steps") * seen.step_K)
    risen = np.flatnonzero(np.nan_to_num(level[begun:], nan=-np.inf) >= known[0] + least)
    return begun + int(risen[0]) if len(risen) else len(case.grid.ends)


def find_collapse(
    case: Case, structure: Structure, members: Members, warmup: WarmUp
) -> Collapse | None:
    """Tell how likely the heat of the latest minutes did not reach the pack.

    Parameters
    ----------
    case : Case
        The recording as the model sees it.
    structure : Structure
        The model's lumps.
    members : Members
        The sample, with where its filter stood after each step.
    warmup : WarmUp
        The fit; all readings that it has not seen are looked at, and some before.

    Returns
    -------
    Collapse or None
        None where a flow meter tells, or there is no heat, or too little time.
    """
    grid = case.grid
    heat = grid.inputs[:, INPUTS.index("drive")] + grid.inputs[:, INPUTS.index("heater")]
    if case.has_flow or heat[-1] <= setting("on_kW"):
        return None
    now = float(grid.ends[-1])
    kept, z = members.kept, members.kept.z
    fitted = warmup.until_s - setting("collapse_before_s")
    look = max(min(now - setting("collapse_window_s"), fitted), now - setting("collapse_longest_s"))
    begun = int(np.flatnonzero(heat > setting("on_kW"))[0])
    begin = max(int(np.searchsorted(grid.ends, look)), _arrived(case, structure, begun), 1)
    if begin >= len(grid.ends) - 1:
        return None
    log = members.log_prior + _log_before(kept, begin) / warmup.pack.widening
    weights = np.exp(log - log.max())
    count = int(setting("collapse_sets"))
    places = (np.arange(count) + 0.5) / count * weights.sum()
    picked = np.minimum(np.searchsorted(np.cumsum(weights), places), len(z) - 1)
    onsets = _onsets(begin, case)
    first = tuple(each[picked] for each in kept.after[begin - 1])
    found, mean, covariance = _weigh(case, structure, z[picked], begin, onsets, first)
    # a standstill may begin at any time alike
    hours = (now - float(grid.ends[begin - 1])) / 3600.0
    prior = setting("collapse_per_h") * hours / (len(onsets) - 1)
    found[1:] += np.log(prior)
    share = np.exp(found - found.max())
    chance = float(share[1:].sum() / share.sum())
    of_onset = share[1:].sum(axis=1)
    middle = int(np.searchsorted(np.cumsum(of_onset), 0.5 * of_onset.sum()))
    flat = share[1:].ravel() / share[1:].sum()
    n = mean.shape[-1]
    return Collapse(
        chance,
        float(grid.ends[onsets[1 + middle] - 1]),
        np.tile(picked, len(onsets) - 1),
        flat,
        mean[1:].reshape(-1, n),
        covariance[1:].reshape(-1, n, n),
    )
