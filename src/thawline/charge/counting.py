r"""Coulomb counting with the sensor's zero error estimated.

.. math:: s(t) = s_0 + \frac{100}{Q}\left(\int_0^t I\,dt' + b\,t\right)

The zero error *b* is read where the car rests; else it is a prior by the sensor's accuracy.
Where the physical state of charge is recorded, all of it corrects *b* and, if it moves far,
*Q*: one least-squares fit with priors, in which a coarse state of charge counts by the moments
at which its reading changes.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.course import knots
from thawline.charge.observed import Observed
from thawline.charge.settings import setting
from thawline.ledger.bridging import bridge
from thawline.ledger.sensors import ROOT_12
from thawline.recording.recording import Channel

Array = NDArray[np.float64]
HOUR_S = 3600.0
#: More moments tell no more: an estimator's own errors are alike over minutes [1].
MOST_MOMENTS = 200
#: Holes that are unknowns of the fit, the longest ones [1].
MOST_HOLES = 6
#: Count and estimator contradict each other from so many standard deviations on [1].
ODD = 2.5


@dataclass(frozen=True, slots=True)
class Counted:
    """Charge counted over a recording.

    Parameters
    ----------
    ampere_hours : ndarray of float64, shape (n,)
        Charge that the current sensor counted since the first tick [A*h].
    total_Ah : float
        All of it, from the begin of the first tick to the end of the last [A*h].
    holes : tuple of (int, int, float)
        First tick of each hole in the data, first tick after it [1], and the standard
        uncertainty of the charge that was bridged there [A*h].
    zero_A, zero_sigma_A : float
        What the sensor shows of no current, by rest, and its standard uncertainty [A].
    rest_s : float
        Time at rest that it was read over [s].
    """

    ampere_hours: Array
    total_Ah: float
    holes: tuple[tuple[int, int, float], ...]
    zero_A: float
    zero_sigma_A: float
    rest_s: float

    @property
    def bridged_sigma_Ah(self) -> float:
        """Standard uncertainty by all holes in the data [A*h]."""
        return float(np.sqrt(sum(sigma**2 for *_, sigma in self.holes)))


def count(observed: Observed) -> Counted | None:
    """Count the charge that the current carried into the pack.

    Parameters
    ----------
    observed : Observed
        The recording.

    Returns
    -------
    Counted or None
        None where the current is not recorded.
    """
    if np.all(np.isnan(observed.amps)):
        return None
    tick_s = float(observed.t[1] - observed.t[0]) if len(observed.t) > 1 else 1.0
    filled, holes = bridge(observed.amps, tick_s)
    at_zero = observed.rests & ~np.isnan(observed.amps)
    rest_s = float(np.count_nonzero(at_zero)) * tick_s
    prior = max(observed.current.absolute, setting("zero_least_A"))
    zero, sigma = 0.0, prior
    if rest_s >= setting("rest_for_s"):
        shown = float(np.mean(observed.amps[at_zero]))
        if abs(shown) < setting("rest_A"):
            scatter = float(np.std(observed.amps[at_zero])) / np.sqrt(rest_s / tick_s / 10.0)
            zero, sigma = shown, min(float(np.hypot(scatter, 0.2 * prior)), prior)
    spans = [
        (hole.first, hole.last, hole.sigma_kW * (hole.last - hole.first) * tick_s / HOUR_S)
        for hole in holes
    ]
    return Counted(
        np.cumsum(filled) * tick_s / HOUR_S - filled * tick_s / HOUR_S / 2.0,
        float(np.sum(filled)) * tick_s / HOUR_S,
        tuple(spans),
        zero,
        sigma,
        rest_s,
    )


@dataclass(frozen=True, slots=True)
class Reconciled:
    """The course of the true state of charge, from count and estimator together.

    Parameters
    ----------
    pct : ndarray of float64, shape (n,)
        State of charge at each tick; without an estimator counted from zero [percent].
    gain_pct, gain_sigma_pct : float
        What went in from first to last tick, and its standard uncertainty [percent].
    capacity_Ah, capacity_sigma_Ah : float
        Capacity after the fit [A*h].
    zero_A, zero_sigma_A : float
        Zero error of the sensor after the fit [A].
    moved_pct : float
        Highest less lowest physical state of charge; zero where not recorded [percent].
    basis : ndarray of float64, shape (n, k)
        What each unknown of the fit adds to the state of charge at each tick.
    change : ndarray of float64, shape (k,)
        The same from the first moment to the last.
    unknowns : ndarray of float64, shape (k,)
        Level [percent], points per ampere-hour, zero error times that, and what holes hide.
    covariance : ndarray of float64, shape (k, k)
        Of the unknowns.
    is_odd : bool
        Count and estimator differ by more than they should.
    """

    pct: Array
    gain_pct: float
    gain_sigma_pct: float
    capacity_Ah: float
    capacity_sigma_Ah: float
    zero_A: float
    zero_sigma_A: float
    moved_pct: float
    basis: Array
    change: Array
    unknowns: Array
    covariance: Array
    is_odd: bool


def moments(channel: Channel) -> tuple[Array, Array, float]:
    """Take what a state of charge tells: the moments at which its reading changes.

    Parameters
    ----------
    channel : Channel
        Physical or displayed state of charge.

    Returns
    -------
    times, levels : ndarray of float64
        When [s], and the state of charge then [percent].
    sigma : float
        Standard uncertainty of each level [percent].
    """
    if channel.resolution <= 0.0 and len(np.unique(channel.values)) > 20:
        every = max(1, len(channel.t) // MOST_MOMENTS)
        return channel.t[::every], channel.values[::every], max(channel.noise, 0.02)
    times, levels = knots(channel.t, channel.values, setting("jump_s"))
    every = max(1, len(times) // MOST_MOMENTS)
    times, levels = times[::every], levels[::every]
    step = channel.resolution
    if step <= 0.0 and len(levels):
        step = float(np.min(np.diff(np.unique(channel.values))))
    return times, levels, max(0.15 * step, 0.5 * channel.noise, 0.01)


def reconcile(
    counted: Counted,
    t: Array,
    estimator: Channel | None,
    capacity_Ah: float,
    capacity_sigma_Ah: float,
    gain_sigma: float,
) -> Reconciled:
    """Bring count and estimator together.

    Parameters
    ----------
    counted : Counted
        The count.
    t : ndarray of float64, shape (n,)
        Its clock [s].
    estimator : Channel or None
        The physical state of charge.
    capacity_Ah, capacity_sigma_Ah : float
        Capacity as known before, and its standard uncertainty [A*h].
    gain_sigma : float
        Relative standard uncertainty of the current sensor [1].

    Returns
    -------
    Reconciled
        The course of charge; capacity and zero error corrected as far as the data tell.
    """
    k = 100.0 / capacity_Ah
    is_there = estimator is not None and len(estimator.t) > 1
    basis, change, hidden = _basis(counted, t, capacity_Ah, is_there)
    # unknowns: level, points per ampere-hour, zero error times points per ampere-hour, holes
    prior = np.concatenate(([0.0, k, counted.zero_A * k], np.zeros(len(hidden))))
    k_sigma = k * float(np.hypot(capacity_sigma_Ah / capacity_Ah, gain_sigma))
    sure = np.concatenate(([1e3, k_sigma, counted.zero_sigma_A * k], hidden))
    normal = np.diag(sure**-2)
    right = normal @ prior
    moved, odd = 0.0, 1.0
    if is_there and estimator is not None:
        moved = float(np.ptp(estimator.values))
        times, levels, sigmas = _with_ends(estimator, *moments(estimator))
        rows = np.column_stack([np.interp(times, t, column) for column in basis.T])
        # an estimator drifts on its own: its readings are not independent
        drift = setting("estimator_drift_pct")
        cover = np.diag(sigmas**2) + drift**2 * _kinship(times)
        solved = np.linalg.solve(cover, np.column_stack((rows, levels)))
        normal = normal + rows.T @ solved[:, :-1]
        right = right + rows.T @ solved[:, -1]
        odd = _oddness(estimator, change, prior, sure, drift)
    covariance = np.linalg.inv(normal) * odd**2
    found = np.linalg.solve(normal, right)
    gain_sigma_pct = float(np.sqrt(max(float(change @ covariance @ change), 0.0)))
    capacity = 100.0 / float(found[1])
    return Reconciled(
        basis @ found,
        float(change @ found),
        gain_sigma_pct,
        capacity,
        capacity * float(np.sqrt(covariance[1, 1])) / float(found[1]),
        float(found[2] / found[1]),
        float(np.sqrt(covariance[2, 2]) / abs(found[1])),
        moved,
        basis,
        change,
        found,
        covariance,
        odd > 1.0,
    )


def _basis(
    counted: Counted, t: Array, capacity_Ah: float, is_there: bool
) -> tuple[Array, Array, Array]:
    """Give what each unknown adds at each tick and in all, and how sure what holes hide is."""
    tick_s = float(t[1] - t[0]) if len(t) > 1 else 1.0
    hours = (t - t[0]) / HOUR_S
    columns = [np.ones(len(t)), counted.ampere_hours, -hours]
    change, hidden = [0.0, counted.total_Ah, -len(t) * tick_s / HOUR_S], []
    for first, last, sigma in sorted(counted.holes, key=lambda hole: hole[0] - hole[1])[
        :MOST_HOLES
    ]:
        ramp = np.clip((np.arange(len(t)) + 0.5 - first) / max(last - first, 1), 0.0, 1.0)
        # where an estimator looks across a hole it may decide what went on in it
        free = 100.0 * setting("hole_rate_per_h") * (last - first) * tick_s / HOUR_S
        columns.append(ramp)
        change.append(1.0)
        hidden.append(max(100.0 * sigma / capacity_Ah, free if is_there else 1e-3))
    return np.column_stack(columns), np.asarray(change), np.asarray(hidden)


def _oddness(estimator: Channel, change: Array, prior: Array, sure: Array, drift: float) -> float:
    """Tell by how many times more than they should count and estimator differ; 1 if not."""
    alone = float(estimator.values[-1] - estimator.values[0])
    rounding = 1.4 * max(float(estimator.resolution / ROOT_12), estimator.noise)
    own = np.hypot(np.hypot(rounding, 1.4 * drift), setting("estimator_share") * alone)
    sigma = float(np.hypot(own, np.sqrt(np.sum((change[1:] * sure[1:]) ** 2))))
    apart = abs(alone - float(change @ prior)) / max(sigma, 1e-6)
    return apart if apart > ODD else 1.0


def _with_ends(
    channel: Channel, times: Array, levels: Array, sigma: float
) -> tuple[Array, Array, Array]:
    """Add the first and last reading: they tell, too, to half a step."""
    wide = max(channel.resolution / ROOT_12, sigma)
    return (
        np.concatenate((channel.t[:1], times, channel.t[-1:])),
        np.concatenate((channel.values[:1], levels, channel.values[-1:])),
        np.concatenate(([wide], np.full(len(times), sigma), [wide])),
    )


def _kinship(times: Array) -> Array:
    """Give the correlation of an estimator's own errors at two moments."""
    apart = np.abs(times[:, None] - times[None, :])
    return np.asarray(np.exp(-apart / HOUR_S))
