r"""Steps and swings of the pack's current, and what the voltage does with them.

When the current steps by :math:`\Delta I`, the voltage follows by :math:`R\,\Delta I` before
the open-circuit voltage can move. In a drive the current never rests; there, current and
voltage are both freed of what is slower than a minute, and R is the slope of one on the other.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

#: Current and voltage are averaged over so many ticks on each side of a step [1].
SIDE = 4
#: Ticks about a step that are left out on each side, while signals of two clocks settle [1].
SETTLE = 2
#: A step counts if it is this many times what the current does on either side of it [1].
STEP_OVER_REST = 4.0
#: So many steps at most are looked at, the largest first [1].
MOST_STEPS = 200
#: Swings are averaged over so many ticks, so that signals of two clocks agree [1] ...
SWING_TICKS = 5
#: ... and held against their mean over so many [1].
SLOW_TICKS = 61


@dataclass(frozen=True, slots=True)
class Moves:
    """What the current did, and the voltage with it.

    Parameters
    ----------
    at : ndarray of int64, shape (m,)
        Ticks [1].
    by_A, by_V : ndarray of float64, shape (m,)
        Movements of current [A] and voltage [V].
    ticks_alike : int
        Neighbours that share what they rest on [1].
    """

    at: NDArray[np.int64]
    by_A: Array
    by_V: Array
    ticks_alike: int = 1


def _mean_before(values: Array) -> Array:
    """Mean of the ticks that end ``SETTLE`` before each tick."""
    sums = np.concatenate(([0.0], np.cumsum(np.nan_to_num(values))))
    holes = np.concatenate(([0], np.cumsum(np.isnan(values))))
    mean = np.full(len(values), np.nan)
    first = SIDE + SETTLE
    ends = np.arange(first, len(values)) - SETTLE
    whole = holes[ends] == holes[ends - SIDE]
    mean[first:] = np.where(whole, (sums[ends] - sums[ends - SIDE]) / SIDE, np.nan)
    return mean


def _spread_before(values: Array) -> Array:
    return np.asarray(np.sqrt(np.maximum(_mean_before(values**2) - _mean_before(values) ** 2, 0.0)))


def current_steps(amps: Array, volts: Array, least_A: float) -> Moves:
    """Find steps of the current and what the voltage did.

    Parameters
    ----------
    amps : ndarray of float64, shape (n,)
        Pack current on the clock; NaN where unknown [A].
    volts : ndarray of float64, shape (n,)
        Pack voltage on the clock; NaN where unknown [V].
    least_A : float
        Smaller steps do not count [A].

    Returns
    -------
    Moves
        The steps.
    """
    if len(amps) < 2 * (SIDE + SETTLE) + 1:
        return Moves(np.empty(0, np.int64), np.empty(0), np.empty(0))
    before_i, before_u = _mean_before(amps), _mean_before(volts)
    after_i, after_u = _mean_before(amps[::-1])[::-1], _mean_before(volts[::-1])[::-1]
    rest = np.hypot(_spread_before(amps), _spread_before(amps[::-1])[::-1])
    step_i, step_u = after_i - before_i, after_u - before_u
    size = np.nan_to_num(np.abs(step_i))
    good = (size > least_A) & (size > STEP_OVER_REST * np.nan_to_num(rest, nan=np.inf))
    good &= ~np.isnan(step_u)
    chosen: list[int] = []
    for tick in np.flatnonzero(good)[np.argsort(-size[good], kind="stable")].tolist():
        if all(abs(tick - other) > SIDE + 2 * SETTLE for other in chosen):
            chosen.append(tick)
        if len(chosen) >= MOST_STEPS:
            break
    at = np.sort(np.asarray(chosen, dtype=np.int64))
    return Moves(at, step_i[at], step_u[at])


def _running_mean(values: Array, ticks: int) -> Array:
    sums = np.concatenate(([0.0], np.cumsum(np.nan_to_num(values))))
    holes = np.concatenate(([0], np.cumsum(np.isnan(values))))
    half, mean = ticks // 2, np.full(len(values), np.nan)
    at = np.arange(half, len(values) - half)
    whole = holes[at + half + 1] == holes[at - half]
    mean[at] = np.where(whole, (sums[at + half + 1] - sums[at - half]) / ticks, np.nan)
    return mean


def current_swings(amps: Array, volts: Array) -> Moves:
    """Free current and voltage of what is slow.

    Parameters
    ----------
    amps : ndarray of float64, shape (n,)
        Pack current on the clock; NaN where unknown [A].
    volts : ndarray of float64, shape (n,)
        Pack voltage on the clock; NaN where unknown [V].

    Returns
    -------
    Moves
        Swings about the running mean of a minute, at every tick where they are known.
    """
    if len(amps) < 2 * SLOW_TICKS:
        return Moves(np.empty(0, np.int64), np.empty(0), np.empty(0), SWING_TICKS)
    i = _running_mean(amps, SWING_TICKS) - _running_mean(amps, SLOW_TICKS)
    u = _running_mean(volts, SWING_TICKS) - _running_mean(volts, SLOW_TICKS)
    at = np.flatnonzero(~np.isnan(i) & ~np.isnan(u))
    return Moves(at, i[at], u[at], SWING_TICKS)


def slope_of(
    by_A: Array, by_V: Array, rounding_V: float, ticks_alike: int = 1
) -> tuple[float, float]:
    """Find the resistance that makes the voltage follow the current.

    Parameters
    ----------
    by_A : ndarray of float64, shape (m,)
        Movements of the current [A].
    by_V : ndarray of float64, shape (m,)
        Movements of the voltage [V].
    rounding_V : float
        Standard deviation of a voltage movement by rounding [V].
    ticks_alike : int
        Neighbours that share what they rest on: so many count for one [1].

    Returns
    -------
    ohm, sigma : float
        Resistance, and its standard uncertainty; infinite where nothing moved [ohm].
    """
    squares = float(np.sum(by_A**2))
    if squares <= 0.0:
        return 0.0, float("inf")
    ohm = float(np.sum(by_V * by_A)) / squares
    count = max(len(by_A) // ticks_alike - 1, 1)
    scatter = float(np.sum((by_V - ohm * by_A) ** 2)) / (count * ticks_alike)
    variance = max(scatter, rounding_V**2) * ticks_alike / squares
    return ohm, float(np.sqrt(variance))
