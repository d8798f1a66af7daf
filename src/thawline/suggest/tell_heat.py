"""Votes from the warm-up: coolant, windings and what heats them, cells, flow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np

from thawline.suggest.anchors import Anchors, load_terms
from thawline.suggest.balance import Term
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.places import (
    FLOW,
    HEAT_OF,
    INLET,
    MOTOR_COOLANT,
    OUTLET,
    WINDING_OF,
)
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.warming import SMOOTH_S, WINDING, Follower, Warming
from thawline.suggest.weights import weight

Readings = Mapping[str, Sequence[Reading]]


@dataclass(frozen=True, slots=True)
class Heated:
    """Windings, and the loads that heat them.

    Parameters
    ----------
    windings : tuple of Follower
        Winding temperatures, in the order of the database.
    loads : tuple of Term
        Loads that heat them, in the order of the database.
    share : float
        Share of the windings' lead that the best load explains [1].
    """

    windings: tuple[Follower, ...] = ()
    loads: tuple[Term, ...] = ()
    share: float = 0.0


def find_heated(anchors: Anchors, powers: Sequence[Reading]) -> Heated:
    """Tell windings from other leading temperatures, and heating from other loads.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    powers : sequence of Reading
        Readings as powers.

    Returns
    -------
    Heated
        Windings and loads that belong together; empty where none do.
    """
    warming = anchors.warming
    if warming is None or not warming.heated:
        return Heated()
    loads = load_terms(anchors, powers)
    first, number, share = warming.heated[0]
    if share < threshold("heated_good"):
        # heating stops and the windings cool by themselves: still the best of all loads
        rivals = [
            one for one in warming.heated if one[1] != number and not _twins(loads, one[1], number)
        ]
        if rivals and rivals[0][2] > share - 0.05:
            return Heated()
    windings = [one for one in warming.of(WINDING) if _alike(one.reading, first.reading)]
    heats = [load for i, load in enumerate(loads) if i == number or _twins(loads, i, number)]
    windings.sort(key=lambda one: one.reading.order)
    heats.sort(key=lambda one: one.reading.order)
    return Heated(tuple(windings), tuple(heats), share)


def _twins(loads: Sequence[Term], i: int, j: int) -> bool:
    return _alike(loads[i].reading, loads[j].reading)


def _alike(one: Reading, other: Reading) -> bool:
    """Tell whether two curves have the same course and nearly the same size."""
    if one.key == other.key:
        return True
    a, b = smooth(one.values, SMOOTH_S), smooth(other.values, SMOOTH_S)
    both = np.isfinite(a) & np.isfinite(b)
    if not both.any() or np.ptp(a[both]) <= 0.0 or np.ptp(b[both]) <= 0.0:
        return False
    size = float(np.ptp(a[both]) / np.ptp(b[both]))
    alike = float(np.corrcoef(a[both], b[both])[0, 1])
    return bool(alike > threshold("twins_least") and 0.5 < size < 2.0)


def tell_heat(anchors: Anchors, heated: Heated, readings: Readings) -> Iterator[Vote]:
    """Say which signals are the coolant's and the drive units'.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    heated : Heated
        Windings and loads that belong together.
    readings : mapping of str to sequence of Reading
        Readings by kind.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    warming = anchors.warming
    if warming is not None and warming.score > threshold("warming_good"):
        yield from _coolant(warming, anchors)
        yield from _windings(warming, heated)
        yield from _flow(warming, readings["flow"])
    for load in heated.loads:
        because = "the windings are ahead of the coolant in proportion to this load"
        evidence = f"{heated.share:.1%} of their lead explained"
        if load.share > 0.0:
            evidence += "; it draws from the pack in the power balance"
        value = (
            weight("heat_load") if heated.share > threshold("heated_good") else weight("heat_twin")
        )
        value -= 1.5 * (load.share <= 0.0)
        yield Vote(
            HEAT_OF,
            load.reading.key,
            value,
            because,
            evidence,
            load.reading.unit,
        )


def _coolant(warming: Warming, anchors: Anchors) -> Iterator[Vote]:
    outlets = sorted(warming.of("outlet"), key=lambda one: -one.explained)
    cells = warming.of("cells")
    rivals = [other.score for other in anchors.warmings[1:] if not _same_inlet(other, warming)]
    ahead = warming.score - max(rivals, default=0.0)
    sure = min(1.0, 0.4 + ahead)
    counts = f"{len(warming.of(WINDING))} temperatures lead it, {len(outlets) + len(cells)} follow"
    because = "the windings lead it and the cells follow it with a lag of minutes"
    value = weight("inlet") * sure if outlets else weight("inlet") * sure - 2.0
    yield Vote(INLET, warming.inlet.key, value, because, counts, warming.inlet.unit)
    for i, one in enumerate(outlets):
        because = "it follows the inlet at once, but not as far"
        evidence = f"by {one.at_once:.0%} at once, the rest within {one.tau_s / 60.0:.0f} min"
        value = weight("outlet") * sure - 2.0 * i - (4.0 * (1.0 - one.explained)) ** 0.5
        yield Vote(OUTLET, one.reading.key, value, because, evidence, one.reading.unit)
    for one in warming.of("peer"):
        if one.explained > 0.99 and abs(one.at_once - 1.0) < 0.2:
            because = "it goes along with the coolant at the pack's inlet"
            yield Vote(
                MOTOR_COOLANT,
                one.reading.key,
                1.5,
                because,
                f"by {one.at_once:.0%}",
                one.reading.unit,
            )


def _same_inlet(one: Warming, other: Warming) -> bool:
    return _alike(one.inlet, other.inlet) and one.score < other.score - 1.0


def _windings(warming: Warming, heated: Heated) -> Iterator[Vote]:
    for one in heated.windings:
        because = "it is ahead of the coolant in proportion to a load"
        top = float(np.nanmax(one.reading.values))
        evidence = f"{heated.share:.1%} of its lead explained; up to {top:.0f} °C"
        value = (
            weight("winding")
            if heated.share > threshold("heated_good")
            else weight("winding") - 1.5
        )
        yield Vote(WINDING_OF, one.reading.key, value, because, evidence, one.reading.unit)
    if heated.windings:
        return
    leads = sorted(warming.of(WINDING), key=lambda one: -one.at_once)
    leads = [one for one in leads if _alike(one.reading, leads[0].reading)]
    for one in leads:
        because = "it is far ahead of the coolant"
        evidence = f"{one.at_once:.1f} times the inlet's rise at once"
        yield Vote(
            WINDING_OF,
            one.reading.key,
            weight("winding_lead"),
            because,
            evidence,
            one.reading.unit,
        )


def _flow(warming: Warming, flows: Sequence[Reading]) -> Iterator[Vote]:
    inlet = smooth(warming.inlet.values, SMOOTH_S)
    cells = [smooth(one.reading.values, SMOOTH_S) for one in warming.of("cells")]
    if not cells:
        return
    carries = inlet - np.min(cells, axis=0) > threshold("carries_heat")
    if not carries.any():
        return
    for one in flows:
        top = float(np.nanmax(one.values))
        if not 1.0 < top < 100.0 or float(np.nanmin(one.values)) < -0.05 * top:
            continue
        runs = one.values > 0.1 * top
        share = float(np.mean(runs[carries & np.isfinite(one.values)]))
        rests = float(np.mean(~runs[np.isfinite(one.values)]))
        if share > 0.8 and (rests > 0.01 or one.is_said):
            because = "it runs while the coolant carries heat to the cells"
            evidence = f"{share:.0%} of that time, up to {top:.1f} l/min"
            value = weight("flow_heating") if one.is_said else weight("flow_heating") * 0.4
            yield Vote(FLOW, one.key, value, because, evidence, one.unit)
