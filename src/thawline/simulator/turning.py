"""The true turning points of a morning."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.build import Build
from thawline.simulator.events import within
from thawline.simulator.morning import TruePoint
from thawline.simulator.observed import cable_path, paths
from thawline.simulator.scenario import Scenario

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]
#: Pauses that do not end a span, and least lengths of spans [s].
HEAT_PAUSE_S, HEAT_LEAST_S = 75.0, 10.0
CHARGE_PAUSE_S, CHARGE_LEAST_S = 75.0, 20.0
LIMIT_PAUSE_S, LIMIT_LEAST_S = 60.0, 15.0
STOP_S, DRIVE_LEAST_S = 120.0, 5.0
LOSS_LEAST_S, FULL_FOR_S = 3.0, 20.0
#: Full power begins at this share of the ceiling [1]; driving at this speed [km/h]; charging
#: and heating are real from this power [W].
FULL_SHARE, MOVING_KM_PER_H, REAL_W = 0.97, 1.0, 150.0
#: How slowly a temperature turns is told by the time for this much [K].
SLOW_K = 0.1


def spans(on: Mask, step_s: float, pause_s: float, least_s: float) -> list[tuple[int, int]]:
    """Find the spans in which something is on.

    Parameters
    ----------
    on : ndarray of bool, shape (n,)
        Where it is on.
    step_s : float
        Distance of two places [s].
    pause_s : float
        Pauses up to this do not end a span [s].
    least_s : float
        Shorter spans do not count [s].

    Returns
    -------
    list of (int, int)
        First place and the first after the last [1].
    """
    edges = np.flatnonzero(np.diff(np.concatenate(([False], on, [False])).astype(np.int8)))
    found: list[tuple[int, int]] = []
    for begin, end in zip(edges[::2], edges[1::2], strict=True):
        if found and (begin - found[-1][1]) * step_s <= pause_s:
            found[-1] = (found[-1][0], int(end))
        else:
            found.append((int(begin), int(end)))
    return [span for span in found if (span[1] - span[0]) * step_s >= least_s]


def turning_points(
    build: Build,
    scenario: Scenario,
    t: Array,
    values: Mapping[str, Array],
    powers: Mapping[str, Array],
) -> tuple[TruePoint, ...]:
    """Find all turning points.

    Parameters
    ----------
    build : Build
        The vehicle.
    scenario : Scenario
        The morning.
    t : ndarray of float64, shape (n,)
        Times [s].
    values : mapping of str to ndarray of float64
        What the car's computers could know [unit].
    powers : mapping of str to ndarray of float64
        Powers [W].

    Returns
    -------
    tuple of TruePoint
        In order of time; what was so from the beginning or stays so to the end has no point.
    """
    step_s = float(t[1] - t[0])
    cable = values[cable_path(build)] > 0.0
    live = cable & ~np.array([within(scenario.cuts_s, at) for at in t])
    found = _both("plugged-in", "unplugged", cable, (0.0, 0.0), t)
    lost = cable & ~live
    for begin, end in spans(lost, step_s, 0.0, LOSS_LEAST_S):
        if begin > 0 and live[begin - 1]:
            found.append(TruePoint("supply-lost", float(t[begin])))
        back = float(t[min(end, len(t) - 1)]) + build.charger.wakes_s  # the contactor closes
        if end < len(t) and live[end] and back <= t[-1]:
            found.append(TruePoint("supply-back", back))
    heat = powers["drive-unit-heating"] + powers["pack-heater"]
    rule = (HEAT_PAUSE_S, HEAT_LEAST_S)
    found += _power(("pack-heating-begins", "pack-heating-ends"), heat, rule, t)
    into = np.minimum(powers["pack"], powers["charger-output"])
    rule = (CHARGE_PAUSE_S, CHARGE_LEAST_S)
    found += _power(("charging-begins", "charging-ends"), into, rule, t)
    limit = values[paths()["regeneration_limit"]]
    found += _limit(t, limit, step_s)
    found += _crossings("coldest-cell-thaws", t, values[paths()["coldest"]], 0.0)
    full = (powers["ceiling"] > 0.0) & (powers["supply"] >= FULL_SHARE * powers["ceiling"])
    found += _both("charger-at-full-power", None, full, (1.0, FULL_FOR_S), t)[:1]
    wanted = values[paths()["cabin_wanted"]] > 0.0
    level = build.cabin.comfortable_from_degC
    for begin, end in spans(wanted, step_s, HEAT_PAUSE_S, HEAT_LEAST_S):
        air = values[paths()["cabin_air"]][begin:end]
        found += _crossings("cabin-comfortable", t[begin:end], air, level)[:1]
    moves = values[paths()["speed"]] > MOVING_KM_PER_H
    found += _both("drive-begins", "drive-ends", moves, (STOP_S, DRIVE_LEAST_S), t)
    return tuple(sorted(found, key=lambda point: point.t_s))


def _both(
    begins: str, ends: str | None, on: Mask, rule: tuple[float, float], t: Array
) -> list[TruePoint]:
    found = []
    for first, last in spans(on, float(t[1] - t[0]), *rule):
        if first > 0:
            found.append(TruePoint(begins, float(t[first])))
        if ends is not None and last < len(t):
            found.append(TruePoint(ends, float(t[last])))
    return found


def _power(
    kinds: tuple[str, str], power_W: Array, rule: tuple[float, float], t: Array
) -> list[TruePoint]:
    """Find where a power really begins and ends.

    A power that creeps up may waver about nothing at first: it begins where it left nothing
    for good, on its way to a real power, and ends where it comes to nothing again.
    """
    step_s = float(t[1] - t[0])
    found = []
    for first, last in spans(power_W >= REAL_W, step_s, *rule):
        before = np.flatnonzero(power_W[:first] <= 0.0)
        after = np.flatnonzero(power_W[last:] <= 0.0)
        if len(before):
            begins = int(before[-1]) + 1
            found.append(TruePoint(kinds[0], float(t[begins]), (first - begins) * step_s))
        if len(after):
            ends = last + int(after[0])
            found.append(TruePoint(kinds[1], float(t[ends]), (ends - last) * step_s))
    return found


def _limit(t: Array, limit_kW: Array, step_s: float) -> list[TruePoint]:
    """Find where a limit leaves zero."""
    found = []
    for first, last in spans(limit_kW > 0.0, step_s, LIMIT_PAUSE_S, LIMIT_LEAST_S):
        real = np.flatnonzero(limit_kW[first:last] >= REAL_W / 1e3)
        if first > 0:
            slow = float(real[0]) * step_s if len(real) else float("inf")
            found.append(TruePoint("regeneration-returns", float(t[first]), slow))
    return found


def _crossings(kind: str, t: Array, values: Array, level: float) -> list[TruePoint]:
    """Find where a temperature passes a level upward."""
    step_s = float(t[1] - t[0])
    found = []
    for i in np.flatnonzero((values[:-1] < level) & (values[1:] >= level)):
        rate = float(values[i + 1] - values[i]) / step_s
        found.append(TruePoint(kind, float(t[i] + (level - values[i]) / rate), SLOW_K / rate))
    return found
