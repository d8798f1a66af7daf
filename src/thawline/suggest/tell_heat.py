"""Votes from the warm-up: coolant, windings and what heats them, flow."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.anchors import Anchors
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.likeness import alike
from thawline.suggest.places import (
    FLOW,
    HEAT_OF,
    HEAT_OF_ALL,
    INLET,
    MOTOR_COOLANT,
    OUTLET,
    PACK_HEATER,
    WINDING_OF,
)
from thawline.suggest.sharing import Shared
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.warming import CELLS, SMOOTH_S, WINDING, Warming, is_regulated
from thawline.suggest.warming import OUTLET as OUTLET_ROLE
from thawline.suggest.weights import weight

Readings = Mapping[str, Sequence[Reading]]
Bools = NDArray[np.bool_]


def tell_heat(anchors: Anchors, readings: Readings) -> Iterator[Vote]:
    """Say which signals are the coolant's and the drive units'.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    readings : mapping of str to sequence of Reading
        Readings by kind.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    warming = anchors.warming
    if warming is None or warming.score < threshold("warming_good"):
        return
    shared = anchors.sharing
    yield from _coolant(warming, anchors)
    yield from _windings(warming, shared)
    yield from _flow(warming, readings["flow"])
    yield from _heats(shared)


def surety(shared: Shared) -> float:
    """Tell how sure it is what each load does.

    Parameters
    ----------
    shared : Shared
        What each load does.

    Returns
    -------
    float
        1 if no other sharing comes near, 0 if another does as well [1].
    """
    return min(1.0, shared.margin / threshold("sharing_margin"))


def _heats(shared: Shared) -> Iterator[Vote]:
    sure = surety(shared)
    # one load for several windings is that of all, unless it counts twice in the balance
    whole = len(shared.heats) == 1 and shared.heats[0].factor == -1 and len(shared.windings) > 1
    path = HEAT_OF_ALL if whole else HEAT_OF
    for load in shared.heats:
        because = "the windings are ahead of the coolant in proportion to this load"
        evidence = f"{shared.share:.1%} of their lead explained"
        if load.share > 0.0:
            evidence += "; it draws from the pack in the power balance"
        value = weight("heat_load") * sure + weight("unbalanced") * (load.share <= 0.0)
        value -= 2.0 * (shared.share < threshold("heated_good"))
        yield Vote(path, load.reading.key, value, because, evidence, load.reading.unit)
    for load in shared.coolant:
        because = "the coolant carries heat to the cells in proportion to this load"
        evidence = f"{shared.share:.1%} explained; no winding leads the coolant"
        value = weight("coolant_load") * sure + weight("unbalanced") * (load.share <= 0.0)
        if len(shared.coolant) > 1 or load.factor < -1:
            because = "two alike make the heat that the coolant carries, as drive units do"
            value += weight("coolant_twins") * sure
        yield Vote(
            HEAT_OF if value > weight("coolant_load") else PACK_HEATER,
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
    value = weight("inlet") * sure - 2.0 * (not outlets) - 4.0 * (not warming.is_full)
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
    return alike(one.inlet, other.inlet) and one.score < other.score - 1.0


def _windings(warming: Warming, shared: Shared) -> Iterator[Vote]:
    sure = surety(shared)
    for one in shared.windings:
        because = "it is ahead of the coolant in proportion to a load"
        top = float(np.nanmax(one.reading.values))
        evidence = f"{shared.share:.1%} of its lead explained; up to {top:.0f} °C"
        value = weight("winding") * sure - 1.5 * (shared.share < threshold("heated_good"))
        yield Vote(WINDING_OF, one.reading.key, value, because, evidence, one.reading.unit)
    if shared.windings or shared.coolant:
        return
    warmed = {one.reading.key for one in shared.warmed}
    leads = [
        one
        for one in warming.of(WINDING)
        if one.reading.key not in warmed and not is_regulated(one.reading)
    ]
    leads.sort(key=lambda one: -one.lead_K)
    leads = [one for one in leads if alike(one.reading, leads[0].reading)]
    for one in leads:
        because = "it is far ahead of the coolant"
        evidence = f"{one.at_once:.1f} times the inlet's rise at once, {one.lead_K:.0f} K ahead"
        value = weight("winding_lead") + min(2.0, one.lead_K / 10.0 - 1.0)
        yield Vote(WINDING_OF, one.reading.key, value, because, evidence, one.reading.unit)


def _carries(warming: Warming) -> Bools | None:
    """Tell when the coolant carries heat: it loses some in the pack, so the outlet is colder."""
    inlet = smooth(warming.inlet.values, SMOOTH_S)
    behind = warming.of(OUTLET_ROLE)
    least = "drops" if behind else "carries_heat"
    others = [smooth(one.reading.values, SMOOTH_S) for one in behind or warming.of(CELLS)]
    if not others:
        return None
    carries = inlet - np.min(others, axis=0) > threshold(least)
    return carries if carries.any() else None


def _flow(warming: Warming, flows: Sequence[Reading]) -> Iterator[Vote]:
    carries = _carries(warming)
    if carries is None:
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
