"""Votes from the pack: voltage, current, power, states of charge, cell voltages."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.anchors import Anchors
from thawline.suggest.charge import Counted
from thawline.suggest.curves import fit, smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.pack import Pair
from thawline.suggest.places import (
    CELL_HIGH,
    CELL_LOW,
    CURRENT,
    DISPLAYED,
    PHYSICAL,
    POWER,
    VOLTAGE,
)
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.warming import Follower
from thawline.suggest.weights import weight

WORDS = {CURRENT: "current", POWER: "power"}
Readings = Mapping[str, Sequence[Reading]]


def tell_pack(anchors: Anchors, readings: Readings, segment: NDArray[np.int64]) -> Iterator[Vote]:
    """Say which signals are the pack's.

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
    if anchors.pair is None:
        return
    yield from _ohmic(anchors, anchors.pair)
    yield from _product(anchors.pair, readings["power"], segment)
    yield from _charges(anchors)
    yield from _cells(anchors.pair, readings["voltage"])


def _ohmic(anchors: Anchors, best: Pair) -> Iterator[Vote]:
    seen: set[tuple[str, str]] = set()
    for pair in anchors.pairs:
        extra, words = 0.0, ""
        if pair is best:
            if any(one.is_counted for one in anchors.counted):
                extra += weight("counts_charge")
                words += "; the current's integral is a state of charge"
            if anchors.balance.explained > threshold("balance_good"):
                extra += weight("balances")
                words += "; the powers found add up to voltage times current"
            if pair.explained < threshold("ohmic_good"):
                extra += weight("balances_alone") * (anchors.balance.explained > 0.9)
        elif not pair.explained:
            continue
        evidence = (
            f"{pair.explained:.0%} of the voltage's changes are {pair.resistance_ohm:.3g} ohm "
            f"times those of the current{words}"
        )
        value = weight("ohmic") * pair.explained + extra
        flow = POWER if pair.is_power else CURRENT
        for path, reading, sign in ((VOLTAGE, pair.voltage, 1), (flow, pair.current, pair.sign)):
            if (path, reading.key) in seen:  # the best pair of each came first
                continue
            seen.add((path, reading.key))
            because = (
                f"the pack's voltage rises with this {WORDS[path]} into it"
                if path in WORDS
                else "it answers to the pack's current like a resistance"
            )
            yield Vote(path, reading.key, value, because, evidence, reading.unit, sign)


def _product(pair: Pair, powers: Sequence[Reading], segment: NDArray[np.int64]) -> Iterator[Vote]:
    product = smooth(pair.power_kW, 5)
    for power in powers:
        if power.key in (pair.voltage.key, pair.current.key):
            continue
        found = fit(smooth(power.values, 5), [product], segment)
        gain = found.factors[0]
        both_ways = float(np.nanmin(power.values)) < -power.step
        if found.explained > 0.98 and abs(abs(gain) - 1.0) < 0.05 and (both_ways or gain < 0.0):
            yield Vote(
                POWER,
                power.key,
                weight("is_product"),
                "it equals pack voltage times pack current",
                f"factor {gain:+.3f}, {found.explained:.1%} explained",
                power.unit,
                1 if gain > 0.0 else -1,
            )


def _counted_words(one: Counted) -> str:
    return (
        f"{one.energy_kWh:.1f} ± {one.energy_plus_minus_kWh:.1f} kWh from empty to full; the "
        f"current's integral leaves {one.rest_steps:.2f} sensor steps of {one.reading.step:g} %"
    )


def _charges(anchors: Anchors) -> Iterator[Vote]:
    counted = [one for one in anchors.counted if one.is_counted]
    if not counted:
        yield from _uncounted(anchors)
        return
    best = counted[0]
    level = float(np.nanmean(best.reading.values))
    others = [
        one
        for one in anchors.counted
        if one is not best and abs(float(np.nanmean(one.reading.values)) - level) < _apart()
    ]
    unit = best.reading.unit
    if others:
        yield Vote(
            PHYSICAL,
            best.reading.key,
            weight("physical_charge"),
            "it is the integral of the pack's current",
            _counted_words(best),
            unit,
        )
    else:
        because = "it alone is the integral of the pack's current"
        value = weight("only_charge") + 1.0
        yield Vote(PHYSICAL, best.reading.key, value, because, _counted_words(best), unit)
    for one in others:
        yield from _displayed(one, best, anchors)


def _apart() -> float:
    return threshold("charges_apart")


def _displayed(one: Counted, best: Counted, anchors: Anchors) -> Iterator[Vote]:
    beside = one.reading.values - best.reading.values
    spread = float(np.nanpercentile(beside, 98) - np.nanpercentile(beside, 2))
    cells = anchors.warming.of("cells") if anchors.warming else []
    whole = np.zeros(len(beside), np.int64)
    warms = max(
        (fit(smooth(beside, 61), [smooth(c.reading.values, 61)], whole).explained for c in cells),
        default=0.0,
    )
    if not one.reading.is_said and not _goes_along(one.reading, best.reading, cells):
        return
    least = threshold("warmed_back_least") + one.reading.step
    evidence = f"it moves by {spread:.1f} percent beside the counted one"
    if spread > least and not one.is_counted:
        value = weight("displayed_charge") - (warms < 0.5)
        because = "it goes with the physical charge but also rises as the pack warms"
        yield Vote(DISPLAYED, one.reading.key, value, because, evidence, one.reading.unit)
    elif one.reading.step > 1.5 * best.reading.step:
        because = "it goes with the physical charge in coarser steps"
        value = weight("displayed_coarse")
        yield Vote(DISPLAYED, one.reading.key, value, because, evidence, one.reading.unit)


def _goes_along(one: Reading, best: Reading, cells: Sequence[Follower]) -> bool:
    """Tell whether charge and the cells' temperature together make up a displayed charge."""
    whole = np.zeros(len(one.values), np.int64)
    for cell in cells:
        curves = [smooth(curve, 61) for curve in (best.values, cell.reading.values)]
        found = fit(smooth(one.values, 61), curves, whole)
        charged, warmed = found.factors
        if found.explained > 0.95 and 0.6 < charged < 1.6 and 0.0 <= warmed < 3.0:
            return True
    return False


def _uncounted(anchors: Anchors) -> Iterator[Vote]:
    """Where nothing is counted: a share that the integral at least moves the right way."""
    for one in anchors.counted:
        if one.explained > 0.8 and one.energy_kWh > threshold("energy_low"):
            because = "it goes with the integral of the pack's current"
            value = weight("only_charge") * one.explained - 1.0
            yield Vote(
                PHYSICAL, one.reading.key, value, because, _counted_words(one), one.reading.unit
            )


def cell_voltages(pair: Pair, voltages: Sequence[Reading]) -> list[tuple[Reading, float]]:
    """Find voltages of which the pack's is a multiple, from the lowest to the highest.

    Parameters
    ----------
    pair : Pair
        Voltage and current of the pack.
    voltages : sequence of Reading
        Readings as voltages.

    Returns
    -------
    list of tuple of Reading and float
        Each voltage, and how many times it the pack's is [1].
    """
    pack = float(np.nanmean(pair.voltage.values))
    found = []
    for one in voltages:
        level = float(np.nanmean(one.values))
        if not threshold("cell_low") < level < threshold("cell_high"):
            continue
        followed = fit(one.values, [pair.voltage.values], np.zeros(len(one.values), np.int64))
        times = pack / level
        if followed.explained > 0.8 and abs(followed.factors[0] * times - 1.0) < 0.3:
            found.append((one, times))
    return sorted(found, key=lambda item: -item[1])


def _cells(pair: Pair, voltages: Sequence[Reading]) -> Iterator[Vote]:
    found = cell_voltages(pair, voltages)
    if not found:
        return
    for path, (one, times) in ((CELL_LOW, found[0]), (CELL_HIGH, found[-1])):
        if len(found) == 1 and path == CELL_HIGH:
            continue
        because = "the pack's voltage is a multiple of it"
        evidence = f"{times:.1f} times"
        yield Vote(path, one.key, weight("cell_voltage"), because, evidence, one.unit)
