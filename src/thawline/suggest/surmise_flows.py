"""Guess units of what flows: in the light of the pack, the supply and the balance."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.anchors import Anchors
from thawline.suggest.candidate import Candidate, Scene
from thawline.suggest.curves import fit, keeps_to_levels, smooth
from thawline.suggest.guess import Guess, is_large, needs_unit
from thawline.suggest.kinds import kind_of_unit
from thawline.suggest.surmise_supply import surmise_offer
from thawline.suggest.tell_limits import rises_with
from thawline.suggest.thresholds import threshold

Floats = NDArray[np.float64]
#: Powers are compared as means over so many seconds [s].
MEAN_S = 5
#: Thousand: milliamperes and watts [1].
THOUSAND = 1000.0


def surmise_rest(scene: Scene, anchors: Anchors) -> dict[str, Guess]:
    """Guess the units of loads, speeds, offers and flows once the pack is known.

    Parameters
    ----------
    scene : Scene
        All candidates; what was guessed before has its unit.
    anchors : Anchors
        What was found with those.

    Returns
    -------
    dict of str to Guess
        Guesses by key.
    """
    bare = {one.key: one for one in scene.candidates if needs_unit(one)}
    found: dict[str, Guess] = {}
    for term in anchors.balance.terms:
        if term.reading.key in bare:
            unit = "kW" if term.reading.unit == "kW" else "W"
            found[term.reading.key] = Guess(unit, "in that unit the powers add up")
    left = [one for key, one in bare.items() if key not in found]
    found |= _limits(left, anchors)
    found |= _speeds([one for one in left if one.key not in found], anchors)
    found |= _drives([one for one in left if one.key not in found], scene, found)
    found |= surmise_offer([one for one in left if one.key not in found], anchors)
    found |= _converters([one for one in left if one.key not in found])
    found |= _flows([one for one in left if one.key not in found], anchors)
    return found


@dataclass(frozen=True, slots=True)
class _Curve:
    """A candidate's ends."""

    low: float
    high: float
    rests: float


def _curve(one: Candidate) -> _Curve | None:
    there = one.values[np.isfinite(one.values)]
    if len(there) < 60 or one.spread <= 0.0:
        return None
    high = float(np.max(there))
    rests = float(np.mean(np.abs(there) <= max(0.02 * abs(high), one.step)))
    return _Curve(float(np.min(there)), high, rests)


def _limits(bare: Sequence[Candidate], anchors: Anchors) -> dict[str, Guess]:
    """Find powers that rise with the coldest cell and with nothing else."""
    warming = anchors.warming
    cells = [] if warming is None else [one.reading for one in warming.of("cells")]
    found = {}
    for one in bare:
        curve = _curve(one)
        if curve is None or not cells or curve.low < -one.step or (one.least or 0.0) < -1.0:
            continue
        cold = min(cells, key=lambda cell: float(np.nanmean(cell.values)))
        top = curve.high
        is_limit = (curve.rests > 0.02 or curve.low > 0.0) and top > 1.0 and curve.low < 0.5 * top
        if is_limit and rises_with(one.values, cold.values) > LIMIT_ORDERED:
            unit = "W" if is_large(one) else "kW"
            found[one.key] = Guess(unit, "it rises with the coldest cell as a limit does")
    return found


#: Share of its variance that a limit's rise with temperature explains [1].
LIMIT_ORDERED = 0.97


def _speeds(bare: Sequence[Candidate], anchors: Anchors) -> dict[str, Guess]:
    """Find the speed: the pack's power drives it, and its mass tells km/h from mph."""
    pair = anchors.pair
    if pair is None:
        return {}
    drawn = -smooth(pair.power_kW, 7)
    best: tuple[float, str, str] | None = None
    for one in bare:
        curve = _curve(one)
        if curve is None or curve.low < -one.step or not SPEEDS[0] < curve.high < SPEEDS[1]:
            continue
        v = smooth(one.values, 7)
        if curve.rests < 0.02 or is_large(one):
            continue
        gain = np.gradient(v)
        moves = v > 0.05 * curve.high
        if not 30 < moves.sum() < 0.98 * len(v):
            continue
        # brakes take part in slowing down, so only what speeds up is looked at
        target = np.where(moves & (gain > 0.0) & (drawn > 1.0), drawn, np.nan)
        made = fit(target, [v * gain / 3.6**2, v / 3.6, v**3 / 3.6**3])
        tonnes = made.factors[0]
        if made.explained > SPEED_EXPLAINED and TONNES[0] < tonnes < TONNES[2]:
            unit = "km/h" if tonnes < TONNES[1] else "mph"
            if best is None or made.explained > best[0]:
                best = made.explained, one.key, unit
    if best is None:
        return {}
    return {best[1]: Guess(best[2], "the pack's power drives a mass of a car at that speed")}


#: Highest speeds that a log may show [km/h]; share of the power that motion explains [1].
SPEEDS, SPEED_EXPLAINED = (12.0, 260.0), 0.8
#: Masses of cars, and the bound above which the speed was in mph, whose square is 2.6 [t].
TONNES = (0.8, 3.15, 9.0)


def _drives(
    bare: Sequence[Candidate], scene: Scene, guesses: Mapping[str, Guess]
) -> dict[str, Guess]:
    """Find powers that flow only while the car drives."""
    speeds = [
        one
        for one in scene.candidates
        if kind_of_unit(one.unit) == "velocity"
        or (one.key in guesses and kind_of_unit(guesses[one.key].unit) == "velocity")
    ]
    found = {}
    for one in bare:
        scale = THOUSAND if is_large(one) else 1.0
        size = np.abs(np.nan_to_num(one.values)) / scale
        for speed in speeds:
            goes = smooth((np.nan_to_num(speed.values) > 1.0).astype(np.float64), 11) > 0.0
            drives = goes.any() and not goes.all() and size.max() > DRIVE_KW
            if drives and size[goes].sum() > DRIVES_SHARE * size.sum():
                unit = "W" if scale > 1.0 else "kW"
                found[one.key] = Guess(unit, "it flows only while the car drives")
    return found


#: A drive draws more than this at some time [kW], and so much of it while the car moves [1].
DRIVE_KW, DRIVES_SHARE = 8.0, 0.97


def _converters(bare: Sequence[Candidate]) -> dict[str, Guess]:
    found = {}
    for one in bare:
        curve = _curve(one)
        if curve is None or (one.least is not None and one.least < 0.0):
            continue
        scale = THOUSAND if curve.high > 60.0 and one.step >= LARGE_STEP_W else 1.0
        low, high = float(np.nanpercentile(one.values, 1)) / scale, curve.high / scale
        if low > 0.08 and high < threshold("converter_most") and high < 3.5 * low:
            unit = "W" if scale > 1.0 else "kW"
            found[one.key] = Guess(unit, "small and never at rest, as a converter's load")
    return found if len(found) == 1 else {}


#: Steps of a small load in W [W].
LARGE_STEP_W = 1.0


def _carries(anchors: Anchors) -> NDArray[np.bool_] | None:
    """Tell when the coolant carries heat: by its temperatures, else by what may heat it."""
    warming = anchors.warming
    if warming is not None and warming.score >= threshold("warming_good"):
        behind = warming.of("outlet") or warming.of("cells")
        if behind:
            ahead = smooth(warming.inlet.values, 9) - smooth(behind[0].reading.values, 9)
            return np.asarray(ahead > threshold("carries_heat"))
    return None


def _flows(bare: Sequence[Candidate], anchors: Anchors) -> dict[str, Guess]:
    carries = _carries(anchors)
    if carries is None:
        return {}
    found = {}
    for one in bare:
        curve = _curve(one)
        if curve is None or curve.low < -one.step or (one.least or 0.0) < -1.0:
            continue
        runs = np.nan_to_num(one.values) > 0.1 * curve.high
        there = one.values[runs]
        if keeps_to_levels(one.values, one.step) or np.percentile(
            there, 10
        ) < PLATEAU * np.percentile(there, 90):
            continue
        if not carries.any() or np.mean(runs[carries]) < RUNS_SHARE or curve.rests < 0.01:
            continue
        for unit, (least, most) in FLOWS.items():
            if least < curve.high < most:
                found[one.key] = Guess(unit, "it runs while the coolant carries heat")
    return found if len(found) == 1 else {}


#: A pump that runs gives no less than this of its most [1].
PLATEAU = 0.2
#: Share of the time in which the coolant carries heat that a pump runs at least [1].
RUNS_SHARE = 0.85
#: Highest flows of coolant in a car's pack, unit by unit.
FLOWS = {"l/min": (3.0, 45.0), "l/h": (180.0, 2700.0)}
