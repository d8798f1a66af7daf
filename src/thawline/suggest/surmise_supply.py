"""Guess which signals without a unit are a supply's currents, its offer, the charger's output."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.anchors import Anchors
from thawline.suggest.candidate import Candidate, Scene
from thawline.suggest.curves import fit, keeps_to_levels, smooth
from thawline.suggest.guess import Guess, is_large, needs_unit
from thawline.suggest.kinds import kind_of_unit
from thawline.suggest.thresholds import threshold

Floats = NDArray[np.float64]
#: Powers are compared as means over so many seconds [s].
MEAN_S = 5
#: Thousand: milliamperes and watts [1].
THOUSAND = 1000.0
#: An offer is told beside a current of at least this [A].
LEAST_DRAWN_A = 3.0
#: What currents of phases differ by at most [1].
PHASES_DIFFER = 0.06
#: Share that a charger's output leaves open of what is drawn [1].
ONE_COURSE = 0.985
#: Phases that a supply may have [1].
PHASES = (1, 2, 3)
#: No offered current is higher [A].
MOST_OFFERED_A = 125.0
#: Offers that supplies make [A]; common practice, no source.
OFFERS_A = (6, 8, 10, 12, 13, 15, 16, 20, 24, 25, 30, 32, 40, 48, 50, 63, 64, 80)
#: IEC 61851-1 Annex A: amperes per percent of duty below 85 percent [A/percent, percent].
PILOT_A_PER_PCT, PILOT_MOST = 0.6, 86.0


def surmise_supply(scene: Scene) -> dict[str, Guess]:
    """Tell a supply's current from the charger's output: voltage times current is the power.

    Parameters
    ----------
    scene : Scene
        All candidates; mains voltages have their unit.

    Returns
    -------
    dict of str to Guess
        Guesses by key.
    """
    mains = [one for one in scene.candidates if kind_of_unit(one.unit) == "voltage" and _mains(one)]
    for volts in mains[:1]:
        present = np.nan_to_num(volts.values) > threshold("supply_low") / 2.0
        drawn = [one for one in scene.candidates if needs_unit(one) and _is_drawn(one, present)]
        amps = _phases(drawn) if len(mains) > 1 else []
        pair = _best_pair(volts, amps or drawn, drawn)
        if pair is not None:
            flow, power = pair
            amps = [one for one in drawn if one is not power and _same_course(flow, one)]
            because = "times the mains voltage it is what the charger draws"
            found = {one.key: Guess("mA" if is_large(one) else "A", because) for one in amps}
            because = "it is a charger's share of voltage times current"
            return {**found, power.key: Guess("W" if is_large(power) else "kW", because)}
        because = "it flows alike in several phases while their voltage is there"
        return {one.key: Guess("mA" if is_large(one) else "A", because) for one in amps}
    return {}


def _phases(drawn: Sequence[Candidate]) -> list[Candidate]:
    """Find currents of several phases: alike in course and size."""
    groups = [[one for one in drawn if _same_course(first, one)] for first in drawn]
    best = max(groups, key=len, default=[])
    return best if len(best) > 1 else []


def _in_whole(one: Candidate) -> Floats:
    return one.values / (THOUSAND if is_large(one) else 1.0)


def _same_course(one: Candidate, other: Candidate) -> bool:
    if one is other:
        return True
    made = fit(smooth(_in_whole(other), MEAN_S), [smooth(_in_whole(one), MEAN_S)])
    return made.explained > ONE_COURSE and abs(made.factors[0] - 1.0) < PHASES_DIFFER


def _best_pair(
    volts: Candidate, flows: Sequence[Candidate], drawn: Sequence[Candidate]
) -> tuple[Candidate, Candidate] | None:
    """Find the current and the power that belong together best."""
    low, high = threshold("efficiency_low"), threshold("efficiency_high") * 1.02
    best: tuple[float, Candidate, Candidate] | None = None
    for amps in flows:
        if (
            keeps_to_levels(amps.values, amps.step)
            or float(np.nanmax(_in_whole(amps))) > MOST_OFFERED_A
        ):
            continue
        product = smooth(volts.values * _in_whole(amps) / THOUSAND, MEAN_S)
        for power in drawn:
            if power is amps or keeps_to_levels(power.values, power.step):
                continue
            made = fit(smooth(_in_whole(power), MEAN_S), [product])
            fits = any(low <= made.factors[0] / n <= high for n in PHASES)
            if made.explained > ONE_COURSE and fits and (best is None or made.explained > best[0]):
                best = made.explained, amps, power
    return None if best is None else (best[1], best[2])


def _mains(one: Candidate) -> bool:
    there = one.values[np.isfinite(one.values)]
    on = there[there > threshold("supply_low")]
    return bool(len(on) > 30 and float(np.median(on)) < 260.0 and np.percentile(there, 98) < 270.0)


def _is_drawn(one: Candidate, present: NDArray[np.bool_]) -> bool:
    there = np.isfinite(one.values)
    if there.sum() < 60 or one.spread <= 0.0:
        return False
    top, low = float(np.nanmax(one.values)), float(np.nanmin(one.values))
    if low < -0.05 * top - 2.0 * one.step or top <= 0.0:
        return False
    flows = np.nan_to_num(one.values) > 0.1 * top
    wide = smooth(present.astype(np.float64), 13) > 0.0
    return bool((flows & ~wide).sum() < 0.02 * max(int(flows.sum()), 1) and flows.sum() > 30)


def surmise_offer(bare: Sequence[Candidate], anchors: Anchors) -> dict[str, Guess]:
    """Find what the supply offers: in A, or as a duty cycle of 0.6 A per percent.

    Parameters
    ----------
    bare : sequence of Candidate
        Those whose unit is open.
    anchors : Anchors
        What was found first.

    Returns
    -------
    dict of str to Guess
        The offer, where one signal alone may be it.
    """
    supply = anchors.supply
    if supply is None or supply.is_direct:
        return {}
    drawn, present = supply.currents[0].values, supply.is_present
    top = float(np.nanpercentile(drawn[present], 98)) if present.any() else 0.0
    found = {}
    for one in bare:
        if one.spread <= 0.0 or not keeps_to_levels(one.values, one.step) or top < LEAST_DRAWN_A:
            continue
        level = float(np.nanmedian(one.values[present]))
        as_duty = PILOT_A_PER_PCT * level
        is_duty = abs(as_duty - top) < 0.05 * top + 0.3
        if abs(level - top) < 0.05 * top + 0.3 <= abs(as_duty - top):
            unit = "A"
        elif (
            abs(as_duty - top) < 0.05 * top + 0.3 <= abs(level - top)
            and level < PILOT_MOST
            and min(abs(level - usual) for usual in OFFERS_A) > 0.3
        ):
            unit = "%"
        elif (
            not is_duty
            and top < level < 2.2 * top
            and min(abs(level - usual) for usual in OFFERS_A) < 0.05
        ):
            unit = "A"
        else:
            continue
        found[one.key] = Guess(unit, f"in few levels, beside {top:.1f} A that are drawn")
    return found if len(found) == 1 else {}
