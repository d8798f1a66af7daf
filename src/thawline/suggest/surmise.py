"""Guess units that a database does not state, where level and course leave one choice.

After a night all parts of a car have one temperature: signals that begin there, in degC or in
degF, are temperatures. A state of charge is slow and its bits reach to 100 percent. The pack's
voltage answers to its current like a resistance. What follows is told in the light of that.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.candidate import Candidate, Scene
from thawline.suggest.charge import is_charge_like
from thawline.suggest.curves import smooth
from thawline.suggest.guess import Guess, needs_unit, taken_as, values_of
from thawline.suggest.kinds import kind_of_unit
from thawline.suggest.supply import is_supply_voltage
from thawline.suggest.surmise_pack import surmise_pack
from thawline.suggest.thresholds import threshold

Floats = NDArray[np.float64]
#: Beginnings are means over so many seconds [s]; courses are smoothed over so many [s].
START_S, SMOOTH_S = 20, 9
#: Beginnings so near the soak count in full, and so far not at all [K].
NEAR_K, FAR_K = 0.7, 3.0
#: Fewest signals that tell where the car was soaked [1].
FEWEST = 3
#: A soak is looked for between these, in steps [degC].
SOAKS_DEGC = (-35.0, 20.0, 0.25)
#: Soaks of mornings that are told about [degC], and what one of those counts more [1].
USUAL_SOAK_DEGC, USUAL_COUNTS = 8.0, 0.3
#: What a beginning in degF counts beside one in degC [1].
LESS_USUAL = 0.85
#: A thermometer of a car reaches down to this at least, in degC as in degF.
REACHES_DOWN = -20.0
#: No temperature of a car changes faster within ten seconds [K].
FASTEST_K = 12.0
#: Share of its time that a signal stays on one value that is at rest rather than cold [1].
RESTS = 0.3
#: Bits of a state of charge reach to about 100 percent, and not much further than twice [%].
SHARE_REACH = (99.0, 260.0)
#: No mains voltage between a phase and neutral, or two phases of 120 V, is higher [V].
MOST_MAINS_V = 260.0


def surmise(scene: Scene) -> dict[str, Guess]:
    """Guess units from level and course.

    Parameters
    ----------
    scene : Scene
        All candidates on one clock.

    Returns
    -------
    dict of str to Guess
        Guesses by key; nothing for signals that may be several things.
    """
    bare = [one for one in scene.candidates if needs_unit(one)]
    if not bare:
        return {}
    found: dict[str, Guess] = {}
    # what has no reach, as numbers with a point, may be a charge or cold in degF: that waits
    found |= _charges([one for one in bare if one.least is not None])
    found |= surmise_pack(scene, [one for one in bare if one.key not in found])
    found |= _mains([one for one in bare if one.key not in found])
    found |= _temperatures(scene, [one for one in bare if one.key not in found])
    found |= _charges([one for one in bare if one.key not in found])
    return found


def _start(one: Candidate) -> float:
    there = values_of(one)
    return float(np.mean(there[:START_S])) if len(there) else np.nan


def _charges(bare: Sequence[Candidate]) -> dict[str, Guess]:
    """Find states of charge: slow, above nothing, with bits that reach to 100 percent."""
    found = {}
    for one in bare:
        there = values_of(one)
        if len(there) < 60 or there.min() < 2.0 or one.spread <= 0.0:
            continue
        if one.least is not None and one.most is not None:
            fits = one.least > -2.0 and SHARE_REACH[0] <= one.most <= SHARE_REACH[1]
        else:
            fits = there.min() > 16.0
        if fits and is_charge_like(taken_as(one, "share", "%")) and _is_slow(one, 2.0):
            found[one.key] = Guess("%", "it moves slowly, and its bits reach to 100")
    return found


def _is_slow(one: Candidate, most: float) -> bool:
    calm = smooth(one.values, SMOOTH_S)
    step = np.abs(calm[10:] - calm[:-10])
    return bool(np.isfinite(step).any() and float(np.nanmax(step)) <= most + one.step)


def _mains(bare: Sequence[Candidate]) -> dict[str, Guess]:
    found = {}
    for one in bare:
        there = values_of(one)
        on = there[there > threshold("supply_low")]
        if len(on) and is_supply_voltage(taken_as(one, "voltage", "V")):
            level = float(np.median(on))
            fits = one.most is None or one.most < 3.0 * threshold("pack_voltage_high")
            if fits and level < MOST_MAINS_V:
                found[one.key] = Guess("V", f"it comes and goes, and else keeps to {level:.0f}")
    return found


def _temperatures(scene: Scene, bare: Sequence[Candidate]) -> dict[str, Guess]:
    """Find signals that begin where the whole car was soaked, in degC or in degF."""
    likely = [one for one in bare if _may_be_temperature(one)]
    known = [
        _in_degC(one)
        for one in scene.candidates
        if kind_of_unit(one.unit) == "temperature" and len(values_of(one))
    ]
    starts = np.array([_start(one) for one in likely])
    if len(likely) + len(known) < FEWEST:
        return {}
    grid = np.arange(*SOAKS_DEGC)
    in_degC, in_degF = starts, (starts - 32.0) / 1.8
    weights = np.zeros(len(grid))
    for i in range(len(likely)):
        likely_F = LESS_USUAL * _near(grid - in_degF[i])
        weights += np.maximum(_near(grid - in_degC[i]), likely_F)
    for start in known:
        weights += _near(grid - start)
    weights *= 1.0 + USUAL_COUNTS * (grid < USUAL_SOAK_DEGC)
    at = int(np.argmax(weights))
    if weights[at] < FEWEST:
        return {}
    soak = float(grid[at])
    found = {}
    for i, one in enumerate(likely):
        off = {"degC": abs(in_degC[i] - soak), "degF": abs(in_degF[i] - soak)}
        unit = min(off, key=lambda name: off[name])
        if off[unit] < threshold("soak_spread"):
            because = f"it begins where most do, at {soak:.0f} °C"
            found[one.key] = Guess(unit, because)
    return found


def _in_degC(one: Candidate) -> float:
    start = _start(one)
    return (start - 32.0) / 1.8 if "f" in one.unit.lower() else start


def _near(off: Floats) -> Floats:
    return np.asarray(np.clip((FAR_K - np.abs(off)) / (FAR_K - NEAR_K), 0.0, 1.0))


def _may_be_temperature(one: Candidate) -> bool:
    """Tell whether a signal may go below zero, and never leaps."""
    there = values_of(one)
    if len(there) < 60 or there.min() < -60.0 or there.max() > 400.0:
        return False
    if one.least is not None and one.least > REACHES_DOWN:
        return False
    if not _is_slow(one, FASTEST_K):
        return False
    rests = float(np.mean(there == 0.0))
    if rests > 0.05 and (one.spread > 10.0 or there.min() == 0.0):
        return False
    return not (rests > RESTS and one.spread > 1.0)
