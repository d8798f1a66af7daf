"""What the thermometers tell at the ends of the model's steps, and how surely."""

from __future__ import annotations

from dataclasses import dataclass, replace
from math import hypot

import numpy as np
from numpy.typing import NDArray

from thawline.recording.powers import BATTERY, MOTOR, paths_like
from thawline.recording.recording import Channel, Recording
from thawline.recording.sensor import noise
from thawline.warmup.edges import dithers, edges, step_of
from thawline.warmup.grid import Grid
from thawline.warmup.settings import setting

Array = NDArray[np.float64]
COLDEST = BATTERY + "Temperature.Min"
MEAN = BATTERY + "Temperature.Average"
WARMEST = BATTERY + "Temperature.Max"
INLET = BATTERY + "Coolant.InletTemperature"
OUTLET = BATTERY + "Coolant.OutletTemperature"
#: Thermometers that see a lump only roughly.
FLOORS = {
    "metal": "floor_metal_K",
    "coolant": "floor_coolant_K",
    "outlet": "floor_coolant_K",
    "warmest": "floor_warmest_K",
    "cabin": "floor_cabin_K",
}
AT_MOTOR = MOTOR + "EngineCoolant.Temperature"


@dataclass(frozen=True, slots=True)
class Seen:
    """One temperature at the ends of the steps.

    Parameters
    ----------
    name : str
        ``metal``, ``coolant``, ``outlet``, ``warmest``, ``bulk`` or ``coldest``.
    degC : ndarray of float64, shape (n,)
        Readings; NaN where there is none [degC].
    sd_K : ndarray of float64, shape (n,)
        Their standard deviations, of the sensor alone; beside bounds, its noise [K].
    low, high : ndarray of float64, shape (n,)
        Bounds on the temperature between edges; NaN where there are none [degC].
    step_K : float
        The sensor's step [K].
    """

    name: str
    degC: Array
    sd_K: Array
    low: Array
    high: Array
    step_K: float


def _line_ends(t: Array, y: Array, grid: Grid) -> tuple[Array, Array]:
    """Lay a line through the samples of each step and read it at the step's end."""
    ends, lengths = grid.ends, grid.lengths
    first = np.searchsorted(t, ends - lengths, side="right")
    last = np.searchsorted(t, ends, side="right")
    count = (last - first).astype(np.float64)
    inside = slice(int(first[0]), int(last[-1]))
    # each sample's step; times count from its end, so that sums lose no digits
    step = np.searchsorted(ends, t[inside], side="left")
    shift, y_in = t[inside] - ends[step], y[inside]
    n = np.maximum(count, 1.0)
    mean_t, mean_y, mean_ty, mean_tt = (
        np.bincount(step, weights=part, minlength=len(ends)) / n
        for part in (shift, y_in, shift * y_in, shift * shift)
    )
    spread = mean_tt - mean_t**2
    steep = (mean_ty - mean_t * mean_y) / np.maximum(spread, 1e-9)
    fitted = (count >= 4.0) & (spread > (0.15 * lengths) ** 2)
    value = np.where(fitted, mean_y - steep * mean_t, np.nan)
    newest = y[np.clip(last - 1, 0, len(y) - 1)]
    value = np.where(fitted, value, np.where(count > 0.0, newest, np.nan))
    shrink = np.where(fitted, 4.0 / n, 1.0)
    return value, shrink


def _settled(channel: Channel, grid: Grid) -> Array:
    """Give the samples that tell the sensor's noise."""
    count = int(np.searchsorted(channel.t, grid.ends[-1], side="right"))
    return channel.values[: grid.settled(count)]


def _fine(channel: Channel, grid: Grid, step_K: float, least_K: float) -> tuple[Array, Array]:
    value, shrink = _line_ends(channel.t, channel.values, grid)
    scatter = noise(_settled(channel, grid)[-5000:])
    sd = np.sqrt(scatter**2 * shrink + step_K**2 / 12.0 + least_K**2)
    return value, np.asarray(sd)


def _dithered(channel: Channel, grid: Grid, step_K: float) -> tuple[Array, Array]:
    value, shrink = _line_ends(channel.t, channel.values, grid)
    scatter = noise(_settled(channel, grid))
    sd = np.sqrt((scatter**2 + step_K**2 / 12.0) * shrink + (0.1 * step_K) ** 2)
    return value, np.asarray(sd)


def _at_edges(channel: Channel, grid: Grid, step_K: float) -> tuple[Array, Array]:
    """Put each edge at the end of the nearest step; sums of values and weights."""
    n, step_s, ends = len(grid.ends), grid.step_s, grid.ends.tolist()
    value, weight = np.zeros(n), np.zeros(n)
    before = None
    for edge in edges(channel.t, channel.values, step_K):
        rate = 0.0
        if before is not None and 1.0 < edge.t_s - before.t_s < 1200.0:
            rate = (edge.degC - before.degC) / (edge.t_s - before.t_s)
        before = edge
        k = min(max(round((edge.t_s - ends[0]) / step_s), 0), n - 1)
        off = ends[k] - edge.t_s
        if edge.t_s < ends[0] - step_s or abs(off) > step_s:
            continue
        sd = hypot(edge.sd_K, 0.003 * off)
        value[k] += (edge.degC + rate * off) / sd**2
        weight[k] += 1.0 / sd**2
    return value, weight


def _coarse(channel: Channel, grid: Grid, step_K: float) -> tuple[Array, Array, Array, Array]:
    """Use a coarse reading as edges, its first level as a value, and all of it as bounds."""
    n = len(grid.ends)
    value, weight = _at_edges(channel, grid, step_K)
    i = np.searchsorted(channel.t, grid.ends, side="right") - 1
    fresh = (i >= 0) & (grid.ends - channel.t[np.maximum(i, 0)] <= channel.stale_after_s)
    reading = channel.values[np.maximum(i, 0)]
    half = (0.5 + setting("edge_share")) * step_K
    turn = (np.arange(n) % _every("bound_every", grid) == 0) & fresh
    turn[-1] = bool(fresh[-1])
    at = np.flatnonzero(fresh)
    if len(at) and weight[at[0]] == 0.0:
        weight[at[0]] = 12.0 / step_K**2
        value[at[0]] = reading[at[0]] * weight[at[0]]
    told = weight > 0.0
    sd = np.where(told, 1.0 / np.sqrt(np.maximum(weight, 1e-12)), np.nan)
    degC = np.where(told, value / np.maximum(weight, 1e-12), np.nan)
    bounded = turn & ~told
    sd[bounded] = noise(_settled(channel, grid))
    low = np.where(bounded, reading - half, np.nan)
    high = np.where(bounded, reading + half, np.nan)
    return degC, np.asarray(sd), low, high


def _every(name: str, grid: Grid) -> int:
    """Tell after how many steps a reading counts: on a clock that grows, after as long a time."""
    usual = int(setting(name))
    return usual if grid.last_s is None else max(1, round(usual * setting("step_s") / grid.step_s))


def _in_turn(count: int, every: int, *, grows: bool) -> NDArray[np.bool_]:
    """Pick every so many of the steps: back from the last, or on from the first and the last."""
    if not grows:
        return np.asarray((count - 1 - np.arange(count)) % every == 0)
    turn = np.arange(count) % every == every - 1
    turn[-1] = True
    return np.asarray(turn)


def _cut(channel: Channel, until_s: float) -> Channel | None:
    count = int(np.searchsorted(channel.t, until_s, side="right"))
    if count == 0:
        return None
    return Channel(
        channel.path,
        channel.unit,
        channel.t[:count],
        channel.values[:count],
        stale_after_s=channel.stale_after_s,
    )


def see_one(name: str, channel: Channel | None, grid: Grid) -> Seen | None:
    """Read one thermometer at the ends of the steps.

    Parameters
    ----------
    name : str
        What it sees.
    channel : Channel or None
        The thermometer; nothing after the grid's end is used.
    grid : Grid
        The model's steps.

    Returns
    -------
    Seen or None
        None where it says nothing.
    """
    part = None if channel is None else _cut(channel, float(grid.ends[-1]))
    if part is None:
        return None
    step_K = step_of(part.values)
    nothing = np.full(len(grid.ends), np.nan)
    if name in FLOORS:
        value, sd = _fine(part, grid, step_K, setting(FLOORS[name]))
        last = len(grid.ends) - 1
        turn = _in_turn(last + 1, _every("hot_every", grid), grows=grid.last_s is not None)
        value[~turn] = np.nan
    elif step_K <= setting("coarse_K"):
        value, sd = _fine(part, grid, step_K, setting("fine_K"))
    elif dithers(part.values):
        value, sd = _dithered(part, grid, step_K)
    else:
        return Seen(name, *_coarse(part, grid, step_K), step_K)
    return Seen(name, value, sd, nothing, nothing, step_K) if np.isfinite(value).any() else None


def _mean(parts: list[Seen], name: str, extra: Array | float = 0.0) -> Seen | None:
    """Average thermometers that see the same lump."""
    if not parts:
        return None
    degC = np.mean([part.degC for part in parts], axis=0)
    sd = np.sqrt(np.mean([part.sd_K**2 for part in parts], axis=0) / len(parts) + extra**2)
    nothing = np.full(len(degC), np.nan)
    return Seen(name, degC, np.asarray(sd), nothing, nothing, max(part.step_K for part in parts))


def _flowing(seen: Seen | None, grid: Grid) -> Seen | None:
    """Leave out what thermometers of the coolant read while it stands: the metal around them."""
    if seen is None:
        return None
    runs = grid.flows[grid.level] >= setting("flow_tells")
    if not grid.flow_known:
        heat = grid.inputs[:, 0] + grid.inputs[:, 1] > setting("on_kW")
        runs = heat | ~np.maximum.accumulate(heat)
    degC = np.where(runs, seen.degC, np.nan)
    return replace(seen, degC=degC) if np.isfinite(degC).any() else None


def see(recording: Recording, grid: Grid) -> tuple[Seen, ...]:
    """Read all thermometers that the model knows how to use.

    Parameters
    ----------
    recording : Recording
        The recording; nothing after the grid's end is used.
    grid : Grid
        The model's steps.

    Returns
    -------
    tuple of Seen
        What is there, one per lump.
    """
    channels = recording.channels
    windings = paths_like(recording, MOTOR, ".Temperature")
    windings = windings or [MOTOR + "Temperature"]
    inlet = INLET if INLET in channels else AT_MOTOR
    metal = [s for path in windings if (s := see_one("metal", channels.get(path), grid))]
    coolant = see_one("coolant", channels.get(inlet), grid)
    outlet = see_one("outlet", channels.get(OUTLET), grid)
    pack = [
        see_one(name, channels.get(path), grid)
        for name, path in (("warmest", WARMEST), ("bulk", MEAN), ("coldest", COLDEST))
    ]
    found = (_mean(metal, "metal"), _flowing(coolant, grid), _flowing(outlet, grid), *pack)
    return tuple(each for each in found if each is not None)
