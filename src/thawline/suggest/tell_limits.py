"""Votes on the pack's limits: zero in the cold, they rise with the coldest cell.

The regenerative limit leaves zero near -1 °C, the charging limit just above 0 °C (common
practice, no source). Where both leave zero, their order tells them apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.anchors import Anchors
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.places import CHARGE_LIMIT, COLDEST, DISCHARGE_LIMIT, REGENERATION_LIMIT
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.weights import weight

Floats = NDArray[np.float64]
#: Limits are compared as means over so many seconds [s].
MEAN_S = 5
#: Noise about zero is smoothed over so many seconds [s].
CALM_S = 15
#: Two limits of one pack open within so much of each other [K].
MOST_APART_K = 5.0
#: Rows of the thresholds that say where limits usually open.
USUALLY_FROM = {REGENERATION_LIMIT: "regeneration_from", CHARGE_LIMIT: "charging_from"}


@dataclass(frozen=True, slots=True)
class Opening:
    """A power limit that leaves zero.

    Parameters
    ----------
    reading : Reading
        The limit.
    at : int
        Second in which it leaves zero [s].
    coldest_degC : float
        The coldest cell then [degC].
    ordered : float
        Share of its variance that a rise with temperature explains [1].
    """

    reading: Reading
    at: int
    coldest_degC: float
    ordered: float


def find_openings(
    powers: Sequence[Reading], coldest: Reading, without: frozenset[str]
) -> list[Opening]:
    """Find powers that are zero in the cold and then rise with a temperature of cells.

    Parameters
    ----------
    powers : sequence of Reading
        Readings as powers.
    coldest : Reading
        Temperature of the coldest cell.
    without : frozenset of str
        Keys that are known to be something else.

    Returns
    -------
    list of Opening
        In the order of their opening.
    """
    cold = smooth(coldest.values, 2 * MEAN_S + 1)
    found = []
    for one in powers:
        if one.key in without or not _could_be(one):
            continue
        at = _opens_at(one)
        if at is None or not np.isfinite(cold[at]):
            continue
        ordered = _ordered(one.values, cold)
        if ordered > threshold("limit_ordered"):
            found.append(Opening(one, at, float(cold[at]), ordered))
    return sorted(found, key=lambda opening: opening.at)


def _opens_at(one: Reading) -> int | None:
    """Find the second from which a power stays above zero, having been zero until then."""
    calm = smooth(one.values, CALM_S)
    top = float(np.nanmax(one.values))
    is_open = calm > max(0.4 * one.step, 0.005 * top)
    stays = smooth(is_open.astype(np.float64), 4 * CALM_S)
    opened = np.flatnonzero(is_open & (np.roll(stays, -2 * CALM_S) > 0.9))
    if not len(opened) or opened[0] < CALM_S or opened[0] > len(calm) - 2 * CALM_S:
        return None
    at = int(opened[0])
    shut = np.abs(calm[: max(1, at - CALM_S)]) < max(0.6 * one.step, 0.01 * top)
    return at if np.mean(shut) > 0.98 else None


def _could_be(one: Reading) -> bool:
    there = np.isfinite(one.values)
    if not there.any():
        return False
    top = float(np.nanmax(one.values))
    if float(np.nanmin(one.values)) < -max(one.step, 0.01 * top):
        return False
    return bool(0.5 < top < 500.0)


def _ordered(values: Floats, temperature: Floats) -> float:
    """Tell how far a limit is a rising function of temperature."""
    good = np.isfinite(values) & np.isfinite(temperature)
    if good.sum() < 60:
        return 0.0
    order = np.argsort(temperature[good], kind="stable")
    x = values[good][order]
    bins = np.array_split(x, min(60, len(x)))
    means = np.maximum.accumulate([float(np.mean(part)) for part in bins])
    rest = sum(float(((part - mean) ** 2).sum()) for part, mean in zip(bins, means, strict=True))
    whole = float(((x - x.mean()) ** 2).sum())
    return 1.0 - rest / whole if whole > 0.0 else 0.0


def rises_with(values: Floats, temperature: Floats) -> float:
    """Tell how far a curve is a rising function of a temperature, and of nothing else.

    Parameters
    ----------
    values : ndarray of float64, shape (n,)
        The curve [unit].
    temperature : ndarray of float64, shape (n,)
        The temperature [degC].

    Returns
    -------
    float
        Share of its variance that the temperature explains [1].
    """
    return _ordered(values, temperature)


def tell_limits(
    anchors: Anchors, coldest: Reading | None, powers: Sequence[Reading], without: frozenset[str]
) -> Iterator[Vote]:
    """Say which signals are the pack's limits.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    coldest : Reading or None
        Temperature of the coldest cell.
    powers : sequence of Reading
        Readings as powers.
    without : frozenset of str
        Keys that are known to be something else.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    if coldest is None:
        return
    openings = _one_unit(find_openings(powers, coldest, without), anchors)
    yield from _opened(openings, coldest)
    if anchors.pair is not None:
        opened = {one.reading.key for one in openings}
        yield from _discharge(powers, coldest, without | opened, len(openings))


def _one_unit(openings: Sequence[Opening], anchors: Anchors) -> list[Opening]:
    """Keep one unit of each: where none is stated, the one that fits a pack's limits."""
    energies = [one.energy_kWh for one in anchors.counted if one.is_counted]
    most = threshold("limit_rate") * energies[0] if energies else threshold("limit_most")
    kept: dict[str, Opening] = {}
    for one in openings:
        top = float(np.nanmax(one.reading.values))
        if one.reading.is_said or (one.reading.key not in kept and 1.0 < top < most):
            kept[one.reading.key] = one
    return list(kept.values())


def _opened(openings: Sequence[Opening], coldest: Reading) -> Iterator[Vote]:
    room = threshold("opening_room") + 0.5 + coldest.step
    pairs = [
        (early, late)
        for early, late in combinations(openings, 2)
        if late.at > early.at and late.coldest_degC - early.coldest_degC < MOST_APART_K
    ]
    if pairs:
        early, late = max(pairs, key=lambda pair: _pair_value(pair[0], pair[1], room))
        order = weight("limit_order")
        yield from _votes(early, REGENERATION_LIMIT, weight("limit") + order, room, coldest)
        yield from _votes(late, CHARGE_LIMIT, weight("limit") + order, room, coldest)
    elif openings:
        one = max(openings, key=lambda opening: opening.ordered)
        near = _near(one, REGENERATION_LIMIT, room), _near(one, CHARGE_LIMIT, room)
        path = REGENERATION_LIMIT if near[0] >= near[1] else CHARGE_LIMIT
        yield from _votes(one, path, weight("limit_weak"), room, coldest)


def opens_as_usual(coldest: Reading, powers: Sequence[Reading], without: frozenset[str]) -> float:
    """Tell how near two limits open to where they usually do, if this is the coldest cell.

    Parameters
    ----------
    coldest : Reading
        A temperature taken as the coldest cell's.
    powers : sequence of Reading
        Readings as powers.
    without : frozenset of str
        Keys that are known to be something else.

    Returns
    -------
    float
        2 if both open just there; less, or below 0, if they are far off; 0 if none opens [1].
    """
    openings = find_openings(powers, coldest, without)
    room = threshold("opening_room") + 0.5 + coldest.step
    values = [
        _near(early, REGENERATION_LIMIT, room) + _near(late, CHARGE_LIMIT, room)
        for early, late in combinations(openings, 2)
        if 0.0 < late.coldest_degC - early.coldest_degC < MOST_APART_K
    ]
    return max(values, default=0.0)


def _pair_value(early: Opening, late: Opening, room: float) -> float:
    near = _near(early, REGENERATION_LIMIT, room) + _near(late, CHARGE_LIMIT, room)
    return near + 10.0 * (min(early.ordered, 0.99) + min(late.ordered, 0.99))


def _votes(one: Opening, path: str, value: float, room: float, coldest: Reading) -> Iterator[Vote]:
    near = _near(one, path, room) > 0.0
    value *= one.ordered
    value += weight("limit_crossing") * (1.0 if near else -1.0)
    value -= 3.0 * (not one.reading.is_said) * (one.ordered < 0.97)
    because = "zero in the cold, it leaves zero and rises with the coldest cell"
    top = float(np.nanmax(one.reading.values))
    evidence = f"it leaves zero at {one.coldest_degC:.1f} °C, up to {top:.1f} kW"
    yield Vote(path, one.reading.key, value, because, evidence, one.reading.unit)
    if near:
        because = f"a limit leaves zero when it passes {one.coldest_degC:.1f} °C"
        yield Vote(COLDEST, coldest.key, weight("limit_crossing") / 2.0, because, "", coldest.unit)


def _near(one: Opening, path: str, room: float) -> float:
    """Tell how near a limit opens to where it usually does: 1 there, 0 or less far off."""
    usual = threshold(USUALLY_FROM[path])
    return 1.0 - abs(one.coldest_degC - usual) / room


def _discharge(
    powers: Sequence[Reading], coldest: Reading, without: frozenset[str], opened: int
) -> Iterator[Vote]:
    for one in powers:
        low, high = float(np.nanmin(one.values)), float(np.nanmax(one.values))
        if one.key in without or not one.is_said or not 15.0 < low <= high < 1000.0:
            continue
        if high - low > 2.0 * one.step and _ordered(one.values, coldest.values) > 0.9:
            because = "never zero, it rises with the coldest cell"
            evidence = f"{low:.0f} to {high:.0f} kW"
            # where the others are open from the start, this may be one of them
            value = weight("limit") - 1.0 - (0.0 if opened >= 2 else 4.0)
            yield Vote(DISCHARGE_LIMIT, one.key, value, because, evidence, one.unit)
