"""Votes from the supply: phases, the charger's output and loss, what is offered, counts."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.anchors import SUPPLY, Anchors
from thawline.suggest.curves import fit, integral, smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.places import (
    CHARGED_ENERGY,
    DIRECT_CURRENT,
    DIRECT_VOLTAGE,
    LOSS,
    OFFERED,
    OUTPUT,
    PILOT,
    SUPPLY_ENERGY,
    supply_current,
    supply_voltage,
)
from thawline.suggest.supply import Supply
from thawline.suggest.votes import Vote
from thawline.suggest.weights import weight

Readings = Mapping[str, Sequence[Reading]]
#: Powers are compared as means over so many seconds [s]; seconds in an hour [s].
MEAN_S, HOUR_S = 5, 3600.0
#: IEC 61851-1 Annex A: amperes per percent of duty below 85 percent [A/percent].
PILOT_A_PER_PCT = 0.6


def tell_supply(anchors: Anchors, readings: Readings, segment: NDArray[np.int64]) -> Iterator[Vote]:
    """Say which signals are the supply's and the charger's.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    readings : mapping of str to sequence of Reading
        Readings by kind.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    for term in anchors.balance.feeds:
        if term.reading.key != SUPPLY:
            yield from _output(term.reading, anchors.supply)
    supply = anchors.supply
    if supply is None:
        return
    sure = supply.explained > 0.9
    if supply.is_direct:
        yield from _direct(supply, sure=sure)
        return
    yield from _phases(supply, sure=sure, alone=len(anchors.supplies) == 1)
    used = {one.key for one in (*supply.voltages, *supply.currents)}
    if anchors.pair is not None:
        used |= {anchors.pair.voltage.key, anchors.pair.current.key}
    yield from _loss(supply, anchors, readings["power"])
    offers = list(_offers(supply, [c for c in readings["current"] if c.key not in used]))
    yield from offers
    yield from _pilots(supply, readings["share"])
    yield from _counts(supply, anchors, readings["energy"], segment)


def _output(reading: Reading, supply: Supply | None) -> Iterator[Vote]:
    because = "it feeds the pack and the loads: what they take and the pack gets add up to it"
    value, evidence = weight("output"), ""
    if supply is not None and supply.efficiency is not None:
        value += weight("output_efficient")
        evidence = f"it is {supply.efficiency:.0%} of the supply's power"
    yield Vote(OUTPUT, reading.key, value, because, evidence, reading.unit)


def _phases(supply: Supply, *, sure: bool, alone: bool) -> Iterator[Vote]:
    value = weight("supply_pair") if sure else weight("supply_alone") + alone
    count = len(supply.currents)
    evidence = f"{count} phase{'s' if count > 1 else ''}, up to {np.nanmax(supply.power_kW):.1f} kW"
    if supply.efficiency is not None:
        evidence += f", of which the charger gives {supply.efficiency:.0%}"
    for phase, reading in enumerate(supply.voltages, 1):
        level = float(np.nanmedian(reading.values[supply.is_present]))
        because = f"a mains voltage of {level:.0f} V that comes and goes with the supply"
        yield Vote(supply_voltage(phase), reading.key, value, because, evidence, reading.unit)
    for phase, reading in enumerate(supply.currents, 1):
        because = "a current that flows only while that voltage is there"
        guessed = not reading.is_said and not sure  # flow or heat may come and go with it too
        off = weight("supply_guessed") * guessed
        yield Vote(supply_current(phase), reading.key, value + off, because, evidence, reading.unit)


def _direct(supply: Supply, *, sure: bool) -> Iterator[Vote]:
    value = weight("supply_pair") if sure else weight("supply_alone")
    evidence = f"up to {np.nanmax(supply.power_kW):.0f} kW"
    voltage, current = supply.voltages[0], supply.currents[0]
    because = "a direct voltage of a pack's level that comes and goes"
    yield Vote(DIRECT_VOLTAGE, voltage.key, value, because, evidence, voltage.unit)
    because = "a current that flows only while that voltage is there"
    yield Vote(DIRECT_CURRENT, current.key, value, because, evidence, current.unit)


def _loss(supply: Supply, anchors: Anchors, powers: Sequence[Reading]) -> Iterator[Vote]:
    fed = [term for term in anchors.balance.feeds if term.reading.key != SUPPLY]
    known = {term.reading.key for term in anchors.balance.terms}
    if fed:
        lost = smooth(supply.power_kW - fed[0].reading.values, MEAN_S)
        among = [one for one in powers if one.key not in known]
    elif any(term.reading.key == SUPPLY for term in anchors.balance.feeds):
        lost = smooth(supply.power_kW, MEAN_S)
        among = list(powers)
    else:
        lost = smooth(supply.power_kW, MEAN_S)
        among = [one for one in powers if one.is_said]
    whole = np.zeros(len(lost), np.int64)
    for one in among:
        top = float(np.nanmax(one.values))
        if float(np.nanmin(one.values)) < -0.05 * top or top <= 0.0:
            continue
        found = fit(smooth(one.values, MEAN_S), [lost], whole)
        share = found.factors[0] if not fed else found.factors[0] * 0.1
        if found.explained > (0.9 if fed else 0.93) and 0.02 < share < 0.2:
            value = weight("loss") if one.is_said or fed else weight("loss") - 2.0
            because = "it goes with the supply's power as a charger's loss does"
            evidence = f"{found.explained:.1%} explained by it"
            yield Vote(LOSS, one.key, value, because, evidence, one.unit)


def _offers(supply: Supply, currents: Sequence[Reading]) -> Iterator[Vote]:
    drawn = supply.currents[0].values
    present = supply.is_present
    top = float(np.nanpercentile(drawn[present], 98)) if present.any() else 0.0
    for one in currents:
        there = np.isfinite(one.values)
        levels = np.unique(np.round(one.values[there & present], 1))
        highest = float(np.nanmax(one.values))
        if not 1 <= len(levels) <= 8 or not 5.0 <= highest <= 100.0:
            continue
        over = np.mean((drawn > one.values + 1.0)[there & present])
        if over < 0.02 and highest < max(3.0 * top, top + 40.0):
            near = abs(highest - top) < 0.05 * highest
            said = one.is_said and (near or len(levels) > 1 or float(np.nanmin(one.values)) == 0.0)
            because = "a current in few levels that the drawn one never passes"
            evidence = f"{highest:g} A offered, up to {top:.1f} A drawn"
            value = weight("offered") * (1.0 if said else 0.5) + near
            yield Vote(OFFERED, one.key, value, because, evidence, one.unit)


def _pilots(supply: Supply, shares: Sequence[Reading]) -> Iterator[Vote]:
    drawn, present = supply.currents[0].values, supply.is_present
    if not present.any():
        return
    top = float(np.nanpercentile(drawn[present], 98))
    for one in shares:
        while_there = one.values[present]
        while_there = while_there[np.isfinite(while_there)]
        if not len(while_there) or len(np.unique(np.round(while_there))) > 12:
            continue
        duty = float(np.median(while_there))
        offered = PILOT_A_PER_PCT * duty
        away = one.values[~present & np.isfinite(one.values)]
        changes = bool(len(away)) and abs(float(np.median(away)) - duty) > 3.0
        if 9.0 <= duty <= 85.0 and top - 0.5 <= offered <= 1.25 * top + 1.0:
            near = abs(offered - top) < 0.04 * top + 0.3
            because = "0.6 A for each percent (IEC 61851-1) is what may be drawn"
            evidence = f"{duty:.1f} % stand for {offered:.1f} A; up to {top:.1f} A drawn"
            value = weight("pilot") * (0.5 + 0.5 * near) + 1.5 * changes - (not one.is_said)
            yield Vote(PILOT, one.key, value, because, evidence, one.unit)


def _counts(
    supply: Supply, anchors: Anchors, energies: Sequence[Reading], segment: NDArray[np.int64]
) -> Iterator[Vote]:
    powers = [(SUPPLY_ENERGY, supply.power_kW, "the supply's power")]
    if anchors.pair is not None:
        into = np.maximum(anchors.pair.power_kW, 0.0)
        powers.append((CHARGED_ENERGY, into, "the power into the pack"))
    for one in energies:
        for path, power, name in powers:
            counted = integral(power, segment) / HOUR_S
            found = fit(one.values, [counted], segment)
            if abs(found.factors[0] - 1.0) < 0.1 and found.rest < one.step + 0.02:
                moved = float(np.ptp(counted)) / max(one.step, 1e-6)
                if moved > 4.0:
                    because = f"it counts {name}"
                    evidence = f"factor {found.factors[0]:.3f}"
                    yield Vote(path, one.key, weight("energy_count"), because, evidence, one.unit)
