"""Votes on states: on/off signals held against what the other signals show.

Codes are taken as on if the car shows what they name at nearly all of their times; so a
signal with codes 0, 1, 3 finds its own meaning.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.anchors import Anchors
from thawline.suggest.candidate import Candidate
from thawline.suggest.curves import agreement, smooth
from thawline.suggest.kinds import is_state
from thawline.suggest.places import (
    CABIN_WANTED,
    CABLE_OF,
    CHARGING_WANTED,
    CONDITIONING,
    IS_CHARGING,
)
from thawline.suggest.tell_heat import surety
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.weights import weight

Bools = NDArray[np.bool_]
#: Powers are taken as means over so many seconds [s].
MEAN_S = 5
#: States of more codes are not looked into [1].
MOST_CODES = 8
#: A state that comes within this after the supply is the cable's [s].
WITH_S = 2
#: Share of the supply's time in which a state of it is on [1].
COVERS = 0.95


def tell_states(
    candidates: Sequence[Candidate], anchors: Anchors, cabin: Sequence[str]
) -> Iterator[Vote]:
    """Say which on/off signals are which.

    Parameters
    ----------
    candidates : sequence of Candidate
        All candidates.
    anchors : Anchors
        What was found first.
    cabin : sequence of str
        Keys of loads that are the cabin's.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    shown = _shown(anchors, cabin)
    states = [one for one in candidates if is_state(one) and 2 <= len(one.codes) <= MOST_CODES]
    claims: list[tuple[str, Candidate, float, tuple[float, ...]]] = []
    for one in states:
        for path, curve in shown.items():
            codes, score = _best_codes(one, curve)
            if score > threshold("state_least"):
                apart = _apart(one, codes, curve)
                if apart <= NEAR_S[path]:
                    claims.append((path, one, score - PER_SECOND * apart, codes))
    for path, one, score, codes in claims:
        rivals = [other[2] for other in claims if other[1] is one and other[0] != path]
        closest = max(rivals, default=0.0)
        if closest > score + 0.005:
            continue
        sure = score > threshold("state_good") and closest < score - 0.01
        value = weight("state" if sure else "state_weak")
        if path in (CONDITIONING, CABIN_WANTED):
            value *= surety(anchors.sharing)
        because = f"it is on when {MEANINGS[path]}"
        evidence = f"agreement {score:.2f}"
        yield Vote(path, one.key, value, because, evidence, "", 1, _told(one, codes))
    yield from _with_supply(states, anchors)


def _apart(one: Candidate, codes: tuple[float, ...], curve: Bools) -> float:
    """Tell how many seconds lie between a state's and a curve's first beginnings."""
    on = np.isin(one.values, codes)
    if not on.any():
        return np.inf
    begun = abs(int(np.argmax(on)) - int(np.argmax(curve)))
    if begun:
        return float(begun)
    # both are on from the start: then their first ends tell
    return float(abs(int(np.argmin(on)) - int(np.argmin(curve))))


MEANINGS: Mapping[str, str] = {
    IS_CHARGING: "power flows from the supply into the pack",
    CONDITIONING: "the drive units make heat",
    CABIN_WANTED: "the cabin's heaters draw power",
}


#: How far a state may begin from what it names: a wish leads, what is going on does not [s].
NEAR_S: Mapping[str, float] = {
    IS_CHARGING: 8.0,
    CONDITIONING: 1.5,
    CABIN_WANTED: 4.0,
}
#: What a second apart costs in agreement [1].
PER_SECOND = 0.01


def _shown(anchors: Anchors, cabin: Sequence[str]) -> dict[str, Bools]:
    """Derive what states would name from the signals found."""
    shown: dict[str, Bools] = {}
    supply, pair = anchors.supply, anchors.pair
    if supply is not None and pair is not None:
        into = smooth(pair.power_kW, MEAN_S) > threshold("flows")
        shown[IS_CHARGING] = into & (supply.power_kW > threshold("flows"))
    heats = anchors.sharing.heats or anchors.sharing.coolant
    if heats:
        shown[CONDITIONING] = _runs([load.reading.values for load in heats])
    loads = [term for term in anchors.balance.loads if term.reading.key in cabin]
    if loads:
        shown[CABIN_WANTED] = _runs([load.reading.values for load in loads])
    return {path: curve for path, curve in shown.items() if curve.any() and not curve.all()}


def _runs(powers_kW: Sequence[NDArray[np.float64]]) -> Bools:
    """Tell when powers flow: noise of a second about zero is passed over."""
    total = np.nan_to_num(np.sum(powers_kW, axis=0))
    noise = float(np.percentile(np.abs(np.diff(total)), 50))
    return np.asarray(np.minimum(total, smooth(total, 3)) > threshold("runs") + 3.0 * noise)


def _best_codes(one: Candidate, curve: Bools) -> tuple[tuple[float, ...], float]:
    """Find the codes that agree best with a curve."""
    there = np.isfinite(one.values)
    best: tuple[tuple[float, ...], float] = ((), 0.0)
    for count in range(1, min(len(one.codes), 4)):
        for codes in combinations(one.codes, count):
            on = np.isin(one.values, codes)
            score = agreement(on[there], curve[there])
            if score > best[1] + 0.01:
                best = (codes, score)
    return best


def _told(one: Candidate, codes: tuple[float, ...]) -> tuple[float, ...]:
    """Leave the codes out where every code but zero is meant."""
    return () if set(codes) == {code for code in one.codes if code != 0.0} else codes


def _with_supply(states: Sequence[Candidate], anchors: Anchors) -> Iterator[Vote]:
    """Find states that are on whenever the supply is there: the cable first, then the wish."""
    supply = anchors.supply
    if supply is None or not supply.is_present.any() or supply.is_present.all():
        return
    present = supply.is_present
    comes = int(np.argmax(present))
    found = []
    for one in states:
        codes, score = _best_cover(one, present)
        if codes:
            on = np.isin(one.values, codes)
            found.append((int(np.argmax(on)) - comes, score, one, codes))
    found.sort(key=lambda item: (item[0], item[2].order))
    cables = [item for item in found if -threshold("cable_follows") < item[0] <= WITH_S]
    for i, (_, score, one, codes) in enumerate(cables):
        value = weight("cable") - 2.0 * i
        because = "it is on while the supply is there, from just before it comes"
        evidence = f"agreement {score:.2f} with the supply's voltage"
        yield Vote(CABLE_OF, one.key, value, because, evidence, "", 1, _told(one, codes))
    wishes = [item for item in found if WITH_S < item[0] < threshold("request_follows")]
    for i, (later, score, one, codes) in enumerate(wishes):
        value = weight("request") - 0.5 * (not cables) - 2.0 * i
        because = "it comes on after the cable and stays while the supply is there"
        evidence = f"{later} s after the supply, agreement {score:.2f} with it"
        yield Vote(CHARGING_WANTED, one.key, value, because, evidence, "", 1, _told(one, codes))


def _best_cover(one: Candidate, present: Bools) -> tuple[tuple[float, ...], float]:
    """Find the fewest codes that are on nearly always while the supply is there."""
    there = np.isfinite(one.values)
    best: tuple[tuple[float, ...], float] = ((), 0.0)
    for count in range(1, min(len(one.codes), 4)):
        for codes in combinations(one.codes, count):
            on = np.isin(one.values, codes)
            if not on[there].any() or on[there].all():
                continue
            covered = float(np.mean(on[there & present]))
            beside = float(np.mean(on[there & ~present]))
            score = agreement(on[there], present[there])
            if covered > COVERS and beside < 0.9 and score > best[1] + 0.01:
                best = (codes, score)
    return best
