"""Read a power that is still running: its level now, and how steady it is."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.settings import setting

Array = NDArray[np.float64]
#: Power that went on and off so many times lately has a duty cycle [1].
CYCLES = 3


def cycles(on: NDArray[np.bool_]) -> bool:
    """Tell whether something goes on and off all the time.

    Parameters
    ----------
    on : ndarray of bool, shape (n,)
        Whether it was on, of late.

    Returns
    -------
    bool
        True if it has a duty cycle.
    """
    return int(np.sum(on[1:] != on[:-1])) >= CYCLES


def level_now(t: Array, kW: Array, now_s: float) -> float:
    """Give the level at which a power goes on: its recent mean, or the newest after a change.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        The clock [s].
    kW : ndarray of float64, shape (n,)
        The power; never NaN [kW].
    now_s : float
        The instant [s].

    Returns
    -------
    float
        The level [kW].
    """
    step = float(t[1] - t[0]) if len(t) > 1 else 1.0
    part = kW[(t > now_s - setting("recent_s")) & (t <= now_s + step / 2.0)]
    new = part[-max(1, int(setting("newest_s") / step)) :]
    if not len(part):
        return 0.0
    mean, latest = float(np.mean(part)), float(np.mean(new))
    if cycles(part > setting("on_kW")):
        return mean
    is_new = abs(latest - mean) > setting("change_share") * max(mean, latest)
    return float(new[-1]) if is_new else mean


def wander(t: Array, kW: Array, now_s: float) -> float:
    """Tell how far minute means of a power wandered of late, over their level.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        The clock [s].
    kW : ndarray of float64, shape (n,)
        The power; never NaN [kW].
    now_s : float
        The instant [s].

    Returns
    -------
    float
        Standard deviation about a straight line, of the logarithm [1].
    """
    part = kW[(t > now_s - setting("wander_seen_s")) & (t <= now_s)]
    per = max(1, int(60.0 / (t[1] - t[0]))) if len(t) > 1 else 1
    minutes = part[len(part) % per :].reshape(-1, per).mean(axis=1) if len(part) >= per else part
    minutes = minutes[minutes > setting("on_kW")][1:]
    if len(minutes) < 3:
        return setting("heat_wander_sigma")
    count = np.arange(len(minutes))
    line = np.polyval(np.polyfit(count, minutes, 1), count)
    seen = float(np.std(minutes - line)) / float(np.mean(minutes))
    return float(np.clip(seen, setting("heat_wander_least"), setting("heat_wander_most")))
