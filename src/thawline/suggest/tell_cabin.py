"""Votes on the rest of the loads, and on cabin air, glass and the air outside."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from thawline.suggest.anchors import Anchors, load_terms
from thawline.suggest.balance import Term
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.likeness import group_loads
from thawline.suggest.places import (
    CABIN_AIR,
    CABIN_HEATER_OF,
    CONVERTER,
    GLASS,
    OUTSIDE,
)
from thawline.suggest.sharing import Warmed
from thawline.suggest.tell_heat import surety
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.warming import is_regulated
from thawline.suggest.weights import weight


def tell_cabin(
    anchors: Anchors,
    temperatures: Sequence[Reading],
    powers: Sequence[Reading],
    taken: frozenset[str],
) -> Iterator[Vote]:
    """Say which loads and temperatures are the cabin's, and which temperature is outside.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    temperatures, powers : sequence of Reading
        Readings as temperatures and as powers.
    taken : frozenset of str
        Keys of signals that are known to be something else.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    shared = anchors.sharing
    heats = {term.reading.key for term in (*shared.heats, *shared.coolant)}
    loads = [t for t in load_terms(anchors, powers) if t.reading.key not in heats | taken]
    soak, rises = _soak(anchors), threshold("cabin_rises")
    warmed = [
        one
        for one in shared.warmed
        if one.reading.key not in taken
        and _starts_like(one.reading, soak)
        and float(np.nanmax(one.reading.values)) < threshold("cabin_warmest")
        and float(np.ptp(one.reading.values[np.isfinite(one.reading.values)])) > rises
    ]
    yield from _loads(loads, warmed, anchors, knows_heat=bool(heats))
    yield from _steady_load(anchors, [one for one in powers if one.key not in heats | taken])
    yield from _warmed_votes(warmed, surety(shared))
    free = [one for one in temperatures if one.key not in taken]
    yield from _still(free, anchors, {one.reading.key for one in warmed})


def _is_converter(load: Term) -> bool:
    values = load.reading.values
    low, high = float(np.nanpercentile(values, 1)), float(np.nanmax(values))
    return bool(low > 0.03 and high < threshold("converter_most"))


def _loads(
    loads: Sequence[Term], warmed: Sequence[Warmed], anchors: Anchors, *, knows_heat: bool
) -> Iterator[Vote]:
    groups = group_loads(loads)
    warming = {
        term.reading.key: one.reading.key
        for one in warmed
        for group in groups
        for term in group
        if one.load.reading.key in {other.reading.key for other in group}
    }
    sure = surety(anchors.sharing)
    for load in sorted(loads, key=lambda term: term.reading.order):
        reading = load.reading
        if load.share <= 0.0 and reading.key not in warming:
            continue
        if not reading.is_said and anchors.balance.explained < threshold("balance_unsaid"):
            continue
        top = float(np.nanmax(reading.values))
        draws = "it draws from the pack in the power balance" if load.share > 0.0 else ""
        if _is_converter(load):
            because = "a small load that never rests"
            yield Vote(CONVERTER, reading.key, weight("converter"), because, draws, reading.unit)
            continue
        if top > threshold("cabin_power_most"):
            continue
        if reading.key in warming:
            because = f"it warms {warming[reading.key]}, which the drive units do not"
            value = weight("cabin_load") * sure - 1.5 * (load.share <= 0.0)
        else:
            because = "it draws from the pack and does not warm the drive units"
            value = weight("cabin_rest") * sure - 2.0 * (not knows_heat)
        yield Vote(CABIN_HEATER_OF, reading.key, value, because, draws, reading.unit)


def _steady_load(anchors: Anchors, powers: Sequence[Reading]) -> Iterator[Vote]:
    """Find the load that never rests: it is what the balance leaves open all the time."""
    left = anchors.balance.left_kW
    if left is None:
        return
    known = {term.reading.key for term in anchors.balance.terms}
    open_kW = -float(np.nanmean(left))
    for one in powers:
        low, high = float(np.nanpercentile(one.values, 1)), float(np.nanmax(one.values))
        if one.key in known or not one.is_said or low < 0.03 or high > threshold("converter_most"):
            continue
        mean = float(np.nanmean(one.values))
        if abs(open_kW - mean) < threshold("converter_agrees") * mean + 0.03:
            because = "a small load that never rests, as large as what the balance leaves open"
            evidence = f"{mean:.2f} kW in the mean, {open_kW:.2f} kW left open"
            yield Vote(CONVERTER, one.key, weight("converter"), because, evidence, one.unit)


def _warmed_votes(warmed: Sequence[Warmed], sure: float) -> Iterator[Vote]:
    for i, one in enumerate(warmed):
        evidence = (
            f"{one.explained:.1%} explained by {one.load.reading.key}, "
            f"{one.capacity_kJ_per_K:.0f} kJ/K"
        )
        if i == 0:
            because = "a load of the cabin warms it, and first"
            value = weight("cabin_air") * one.explained * (0.3 + 0.7 * sure)
            value -= 12.0 * max(0.0, 0.95 - one.explained) - is_regulated(one.reading)
            yield Vote(CABIN_AIR, one.reading.key, value, because, evidence, one.reading.unit)
        elif one.reading.is_said and len(warmed) == 2 and _same_load(warmed[0], one):
            because = "a load of the cabin warms it later and less"
            value = weight("glass") - 20.0 * max(0.0, 0.97 - one.explained)
            yield Vote(GLASS, one.reading.key, value, because, evidence, one.reading.unit)


def _same_load(one: Warmed, other: Warmed) -> bool:
    return one.load.reading.key == other.load.reading.key


def _starts_like(one: Reading, soak: float | None) -> bool:
    """Tell whether a temperature without a unit starts as the whole car did."""
    if one.is_said:
        return True
    there = one.values[np.isfinite(one.values)]
    return bool(
        soak is not None
        and len(there)
        and abs(float(np.mean(there[:30])) - soak) < threshold("soak_spread")
    )


def _movement(one: Reading) -> float:
    return float(np.ptp(smooth(one.values, 61)[np.isfinite(one.values)]))


def _soak(anchors: Anchors) -> float | None:
    """Find the temperature that the car had in the morning."""
    if anchors.warming is None or anchors.warming.score < threshold("warming_good"):
        return None
    starts = [
        float(one.reading.values[np.isfinite(one.reading.values)][:30].mean())
        for one in anchors.warming.followers
    ]
    return float(np.median(starts)) if starts else None


@dataclass(frozen=True, slots=True)
class Still:
    """A temperature that hardly moves.

    Parameters
    ----------
    reading : Reading
        The temperature.
    level : float
        Its median [degC].
    off : float
        How far above the car it begins [K].
    drift : float
        How far it goes from beginning to end [K].
    """

    reading: Reading
    level: float
    off: float
    drift: float

    @property
    def looks_resting(self) -> bool:
        """Whether it begins as the car did and then goes away from it, as a cabin does."""
        step = self.reading.step
        return abs(self.off) <= 0.25 + 0.5 * step and abs(self.drift) > 0.3 + 0.6 * step

    @property
    def looks_outside(self) -> bool:
        """Whether it begins away from the car, and stays there."""
        step = self.reading.step
        return abs(self.off) > 0.4 + 0.5 * step and abs(self.drift) < 0.5 + 0.5 * step


def _find_still(temperatures: Sequence[Reading], soak: float, without: set[str]) -> list[Still]:
    found = []
    for one in temperatures:
        there = one.values[np.isfinite(one.values)]
        if one.key in without or not len(there) or not one.is_said:
            continue  # without a unit it may be anything
        if _movement(one) > threshold("outside_moves") + one.step:
            continue
        calm = smooth(one.values, 61)[np.isfinite(one.values)]
        level = float(np.median(there))
        if -threshold("outside_below") < level - soak < threshold("outside_above"):
            start = float(np.mean(there[:30]))
            found.append(Still(one, level, start - soak, float(calm[-1] - calm[0])))
    return found


def _still(temperatures: Sequence[Reading], anchors: Anchors, warmed: set[str]) -> Iterator[Vote]:
    """Tell the air outside, and a cabin that nobody heats, from each other."""
    soak = _soak(anchors)
    if soak is None:
        return
    found = _find_still(temperatures, soak, warmed)
    if not 1 <= len(found) <= 2:
        return
    cabins = [one for one in found if one.looks_resting]
    outsides = [one for one in found if one.looks_outside]
    if len(found) == 2 and not (len(cabins) == 1 and len(outsides) == 1):
        return
    both = len(found) == 2 and cabins[0].drift * (outsides[0].level - soak) > 0.0
    for one in outsides:
        because = "it hardly moves, and is not where the car began"
        evidence = f"{one.level:.1f} °C, the car began at {soak:.1f} °C"
        value = weight("outside") + 1.0 * (both or bool(warmed))
        yield Vote(OUTSIDE, one.reading.key, value, because, evidence, one.reading.unit)
    for one in cabins if not warmed else ():
        because = "it begins where the car did and goes towards the air outside, unheated"
        evidence = f"from {soak + one.off:.1f} by {one.drift:+.1f} K"
        value = weight("resting_cabin") + 1.5 * both
        yield Vote(CABIN_AIR, one.reading.key, value, because, evidence, one.reading.unit)
    if warmed and len(found) == 1 and not outsides and not cabins:
        because = "it alone hardly moves"
        evidence = f"{found[0].level:.1f} °C, the car began at {soak:.1f} °C"
        one = found[0]
        yield Vote(OUTSIDE, one.reading.key, weight("outside"), because, evidence, one.reading.unit)
