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


@dataclass(frozen=True, slots=True)
class Counted:
    """Charge counted over a recording.

    Parameters
    ----------
    ampere_hours : ndarray of float64, shape (n,)
        Charge that the current sensor counted since the first tick [A*h].
    bridged_sigma_Ah : float
        Standard uncertainty by holes in the data [A*h].
    zero_A, zero_sigma_A : float
        What the sensor shows of no current, by rest, and its standard uncertainty [A].
    rest_s : float
        Time at rest that it was read over [s].
    """

    ampere_hours: Array
    bridged_sigma_Ah: float
    zero_A: float
    zero_sigma_A: float
    rest_s: float


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
    spans = [hole.sigma_kW * (hole.last - hole.first) * tick_s / HOUR_S for hole in holes]
    return Counted(
        np.cumsum(filled) * tick_s / HOUR_S - filled * tick_s / HOUR_S / 2.0,
        float(np.sqrt(sum(span**2 for span in spans))),
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
    """

    pct: Array
    gain_pct: float
    gain_sigma_pct: float
    capacity_Ah: float
    capacity_sigma_Ah: float
    zero_A: float
    zero_sigma_A: float
    moved_pct: float


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
    times, levels = knots(channel.t, channel.values)
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
    hours = (t - t[0]) / HOUR_S
    basis = np.column_stack((np.ones(len(t)), counted.ampere_hours, -hours))
    k = 100.0 / capacity_Ah
    # unknowns: level, points per ampere-hour, zero error times points per ampere-hour
    prior = np.array([0.0, k, counted.zero_A * k])
    k_sigma = k * float(np.hypot(capacity_sigma_Ah / capacity_Ah, gain_sigma))
    normal = np.diag([1e-6, k_sigma**-2, (counted.zero_sigma_A * k) ** -2])
    right = normal @ prior
    moved = 0.0
    if estimator is not None and len(estimator.t) > 1:
        moved = float(np.ptp(estimator.values))
        times, levels, sigmas = _with_ends(estimator, *moments(estimator))
        rows = np.column_stack([np.interp(times, t, basis[:, j]) for j in range(3)])
        # an estimator drifts on its own: its readings are not independent
        drift = setting("estimator_drift_pct")
        cover = np.diag(sigmas**2) + drift**2 * _kinship(times)
        solved = np.linalg.solve(cover, np.column_stack((rows, levels)))
        normal = normal + rows.T @ solved[:, :3]
        right = right + rows.T @ solved[:, 3]
    covariance = np.linalg.inv(normal)
    found = covariance @ right
    pct = basis @ found
    change = basis[-1] - basis[0]
    gain = float(change @ found)
    sigma_gain = float(np.sqrt(max(change @ covariance @ change, 0.0)))
    bridged = 100.0 / capacity_Ah * counted.bridged_sigma_Ah
    capacity = 100.0 / float(found[1])
    return Reconciled(
        pct,
        gain,
        float(np.hypot(sigma_gain, bridged)),
        capacity,
        capacity * float(np.sqrt(covariance[1, 1])) / float(found[1]),
        float(found[2] / found[1]),
        float(np.sqrt(covariance[2, 2]) / abs(found[1])),
        moved,
    )


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
