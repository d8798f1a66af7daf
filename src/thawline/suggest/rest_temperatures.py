"""Votes on temperatures that no warm-up told apart: cells, cabin, air outside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from thawline.suggest.claims import Claims
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.places import CABIN_AIR, COLDEST, MEAN, OUTSIDE, WARMEST
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.warming import is_regulated
from thawline.suggest.weights import weight

#: Temperatures are calm over so many seconds [s]; the first of them tell the soak [s].
CALM_S, START_S = 61, 30
#: Correlation and ratio of sizes from which temperatures are of one kind of cells [1].
CELLS_GO, CELLS_SIZE = 0.985, 0.6
#: Changes of cells within a minute at most [K].
CELLS_PACE_K = 1.5
#: What a cabin that is heated rises by [K].
CABIN_RISES_K = 8.0
#: Steps and kelvins within which a temperature stands where the car was soaked [K].
AT_SOAK_K = 0.3


def soak_of(temperatures: Sequence[Reading]) -> float | None:
    """Find the temperature that the car had in the morning: where most begin.

    Parameters
    ----------
    temperatures : sequence of Reading
        Readings as temperatures.

    Returns
    -------
    float or None
        Median of all beginnings; None where there are too few [degC].
    """
    starts = [start for one in temperatures if np.isfinite(start := _start(one))]
    if len(starts) < 4:
        return None
    middle = float(np.median(starts))
    near = [start for start in starts if abs(start - middle) < threshold("soak_spread")]
    return float(np.median(near)) if len(near) >= 4 else None


def rest_temperatures(temperatures: Sequence[Reading], claims: Claims) -> Iterator[Vote]:
    """Say what temperatures are that the warm-up left open.

    Parameters
    ----------
    temperatures : sequence of Reading
        Readings as temperatures.
    claims : Claims
        What is claimed so far.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    said = [one for one in temperatures if one.is_said]
    free = claims.free(said)
    soak = soak_of(said)
    if not claims.has(COLDEST):
        yield from _cells(free)
    cabin = claims.has(CABIN_AIR)
    if not cabin:
        held = [one for one in free if _is_heated_cabin(one)]
        if len(held) == 1:
            cabin = True
            because = "it rises to where people are comfortable, and is held there"
            evidence = f"up to {np.nanmax(held[0].values):.1f} °C"
            value = weight("cabin_held")
            yield Vote(CABIN_AIR, held[0].key, value, because, evidence, held[0].unit)
            free = [one for one in free if one is not held[0]]
    if soak is not None:
        yield from _still(free, soak, has_cabin=cabin, has_outside=claims.has(OUTSIDE))


def _start(one: Reading) -> float:
    there = one.values[np.isfinite(one.values)]
    return float(np.mean(there[:START_S])) if len(there) else np.nan


def _calm(one: Reading) -> np.ndarray[tuple[int], np.dtype[np.float64]]:
    return smooth(one.values, CALM_S)


def _ptp(one: Reading) -> float:
    calm = _calm(one)
    calm = calm[np.isfinite(calm)]
    return float(np.ptp(calm)) if len(calm) else 0.0


def _is_heated_cabin(one: Reading) -> bool:
    return is_regulated(one) and _ptp(one) > CABIN_RISES_K


def _goes(one: Reading, other: Reading) -> bool:
    a, b = _calm(one), _calm(other)
    both = np.isfinite(a) & np.isfinite(b)
    if not both.any() or np.ptp(a[both]) <= 0.0 or np.ptp(b[both]) <= 0.0:
        return False
    size = float(np.ptp(a[both]) / np.ptp(b[both]))
    course = float(np.corrcoef(a[both], b[both])[0, 1])
    return CELLS_SIZE < size < 1.0 / CELLS_SIZE and course > CELLS_GO


def _cells(free: Sequence[Reading]) -> Iterator[Vote]:
    """Find two or three slow temperatures of one course, one never above the next."""
    slow = []
    for one in free:
        calm = _calm(one)
        pace = float(np.nanmax(np.abs(calm[CALM_S:] - calm[:-CALM_S]), initial=0.0))
        if _ptp(one) > 1.0 + one.step and pace < CELLS_PACE_K + 0.5 * one.step:
            slow.append(one)
    if len(slow) != 3 or not all(_goes(slow[0], one) and _goes(slow[1], one) for one in slow[1:]):
        return
    low, middle, high = sorted(slow, key=lambda one: float(np.nanmean(one.values)))
    above = [float(np.nanmean(b.values - a.values)) for a, b in ((low, middle), (middle, high))]
    steps = max(one.step for one in slow)
    value = weight("cells_alone") - 1.5 * (min(above) < 0.02 + 0.05 * steps)
    words = "slow temperatures of one course"
    for path, one, which in (
        (COLDEST, low, "lowest"),
        (MEAN, middle, "middle"),
        (WARMEST, high, "highest"),
    ):
        yield Vote(path, one.key, value, f"the {which} of three {words}", "", one.unit)


def _still(
    free: Sequence[Reading], soak: float, *, has_cabin: bool, has_outside: bool
) -> Iterator[Vote]:
    """Tell the air outside, and a cabin that nobody heats, from each other."""
    still = [
        one
        for one in free
        if _ptp(one) < threshold("outside_moves") + one.step
        and -threshold("outside_below") < _start(one) - soak < threshold("outside_above")
    ]
    if not still or len(still) > 2:
        return
    off = {one.key: abs(_start(one) - soak) / (AT_SOAK_K + 0.5 * one.step) for one in still}
    ranked = sorted(still, key=lambda one: -off[one.key])
    away = ranked[0]
    evidence = f"it begins at {_start(away):.1f} °C, the car at {soak:.1f} °C"
    if len(still) == 1:
        if has_outside:
            return
        if has_cabin or off[away.key] > 1.6:
            because = "it alone hardly moves, and is no part of the car"
            value = weight("outside") - (0.0 if has_cabin else 0.7)
            yield Vote(OUTSIDE, away.key, value, because, evidence, away.unit)
        return
    home = ranked[1]
    clear = off[away.key] - off[home.key]
    if has_cabin or has_outside or clear < 0.6:
        return
    value = weight("outside") - (0.0 if clear > 1.5 else 1.0)
    because = "of two that hardly move, it is further from where the car began"
    yield Vote(OUTSIDE, away.key, value, because, evidence, away.unit)
    because = "of two that hardly move, it begins where the car did, as an unheated cabin"
    evidence = f"it begins at {_start(home):.1f} °C, the car at {soak:.1f} °C"
    yield Vote(CABIN_AIR, home.key, value, because, evidence, home.unit)
