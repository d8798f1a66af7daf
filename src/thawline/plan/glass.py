r"""The windscreen's inside, and whether it mists.

.. math:: \tau \dot T_g = T_o + \varphi (T_a - T_o) + \psi P - T_g

with the air outside :math:`T_o`, the cabin's air :math:`T_a` and its heating power P. It stays
clear while it is warmer than the dew point of the cabin's air (``physics/air.py``).
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.physics.air import dew_point_degC
from thawline.plan.settings import setting
from thawline.plan.shown import Morning
from thawline.recording.clock import on_clock
from thawline.story import names
from thawline.warmup.heat_sources import held

Array = NDArray[np.float64]
GLASS = "Cabin.Glass.Temperature"
#: Recordings are read every so many seconds [s]; a fit needs so many readings [1], over so wide
#: a range [K].
EVERY_S, FEWEST, LEAST_K = 10.0, 60, 4.0


@dataclass(frozen=True, slots=True)
class Glass:
    """The glass.

    Parameters
    ----------
    share : float
        Where it settles between outside air (0) and cabin air (1) [1].
    K_per_kW : float
        What heating adds [K/kW].
    lag_s : float
        Its time constant [s].
    """

    share: float
    K_per_kW: float
    lag_s: float


def step_glass(
    glass: Array, share: Array, K_per_kW: Array, lag_s: Array, air: Array, outside: Array,
    kW: Array, step_s: float,
) -> Array:  # fmt: skip
    """Move the glass on by one step.

    Parameters
    ----------
    glass : ndarray of float64
        Its temperature [degC].
    share, K_per_kW, lag_s : ndarray of float64
        As in ``Glass`` [1], [K/kW], [s].
    air, outside : ndarray of float64
        Air in the cabin and outside [degC].
    kW : ndarray of float64
        Cabin heating [kW].
    step_s : float
        Length of the step [s].

    Returns
    -------
    ndarray of float64
        The glass after the step [degC].
    """
    settles = outside + share * (air - outside) + K_per_kW * kW
    return np.asarray(settles + (glass - settles) * np.exp(-step_s / lag_s))


def dew_points_degC(air_degC: float, humidity_pct: Array) -> Array:
    """Find the dew points of a cabin's air.

    Parameters
    ----------
    air_degC : float
        Air temperature that the humidity is told for [degC].
    humidity_pct : ndarray of float64
        Relative humidities [percent].

    Returns
    -------
    ndarray of float64
        Dew points [degC].
    """
    return dew_point_degC(air_degC, np.clip(humidity_pct, 1.0, 100.0))


def fit_glass(mornings: Sequence[Morning]) -> Glass | None:
    """Fit the glass to recordings that show it.

    Parameters
    ----------
    mornings : sequence of Morning
        Recordings of one vehicle.

    Returns
    -------
    Glass or None
        None where no recording shows glass, air inside and outside with enough change.
    """
    from scipy.optimize import least_squares  # heavy: only those who fit pay for it

    seen = [one for one in map(_seen, mornings) if one is not None]
    if not seen:
        return None

    def misses(x: Array) -> Array:
        share, blown, lag = x[0], x[1], float(np.exp(x[2]))
        off = []
        for air, outside, kW, glass in seen:
            now, ran = glass[:1], [glass[0]]
            for i in range(len(air) - 1):
                here = slice(i, i + 1)
                now = step_glass(now, np.array(share), np.array(blown), np.array(lag), air[here],
                                 outside[here], kW[here], EVERY_S)  # fmt: skip
                ran.append(float(now[0]))
            off.append(np.array(ran) - glass)
        return np.concatenate(off)

    begin = [setting("glass_share"), setting("glass_K_per_kW"), np.log(setting("glass_lag_s"))]
    found = least_squares(misses, begin, bounds=([0.05, 0.0, 3.5], [0.95, 8.0, 8.0]))
    return Glass(float(found.x[0]), float(found.x[1]), float(np.exp(found.x[2])))


def _seen(morning: Morning) -> tuple[Array, Array, Array, Array] | None:
    paths = (GLASS, names.CABIN_AIR, names.OUTSIDE_AIR)
    channels = [morning.recording.channels.get(path) for path in paths]
    power = morning.flows.flows.get("cabin-heating")
    if power is None or any(c is None for c in channels):
        return None
    t, every = morning.flows.t, max(1, round(EVERY_S / morning.flows.step_s))
    glass, air, outside = (
        held(on_clock(c, t, morning.recording.gaps), float(c.values[0]))[::every]
        for c in channels
        if c is not None
    )
    if len(glass) < FEWEST or float(np.ptp(glass)) < LEAST_K:
        return None
    kW = np.nan_to_num(power.kW)
    whole = len(kW) // every * every
    mean = kW[:whole].reshape(-1, every).mean(axis=1)
    n = min(len(glass), len(mean))
    return air[:n], outside[:n], mean[:n], glass[:n]
