"""Votes on the pack's limits: zero in the cold, they rise with the coldest cell.

The regenerative limit leaves zero near -1 °C, the charging limit just above 0 °C (common
practice, no source). Where both leave zero, their order tells them apart.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

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
        yield from _discharge(powers, coldest, without | opened)


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
    room = 0.5 + coldest.step
    early = [one for one in openings if _near(one, "regeneration_from", room)]
    late = [one for one in openings if _near(one, "charging_from", room)]
    pair = len(openings) >= 2 and openings[1].at > openings[0].at
    for i, one in enumerate(openings[:4]):
        is_first = i == 0
        path = REGENERATION_LIMIT if is_first and (pair or one in early) else CHARGE_LIMIT
        told = early if path == REGENERATION_LIMIT else late
        value = weight("limit") * one.ordered if pair and i < 2 else weight("limit_weak")
        value += weight("limit_order") * (pair and i < 2) - 2.0 * (i >= 2)
        value += weight("limit_crossing") if one in told else -weight("limit_crossing")
        value -= 3.0 * (not one.reading.is_said) * (one.ordered < 0.97)
        because = "zero in the cold, it leaves zero and rises with the coldest cell"
        top = float(np.nanmax(one.reading.values))
        evidence = f"it leaves zero at {one.coldest_degC:.1f} °C, up to {top:.1f} kW"
        yield Vote(path, one.reading.key, value, because, evidence, one.reading.unit)
        if one in told and pair:
            because = f"a limit leaves zero when it passes {one.coldest_degC:.1f} °C"
            yield Vote(
                COLDEST, coldest.key, weight("limit_crossing") / 2.0, because, "", coldest.unit
            )


def _near(one: Opening, name: str, room: float) -> bool:
    return abs(one.coldest_degC - threshold(name)) < room + threshold("opening_room")


def _discharge(
    powers: Sequence[Reading], coldest: Reading, without: frozenset[str]
) -> Iterator[Vote]:
    for one in powers:
        low, high = float(np.nanmin(one.values)), float(np.nanmax(one.values))
        if one.key in without or not one.is_said or not 15.0 < low <= high < 1000.0:
            continue
        if high - low > 2.0 * one.step and _ordered(one.values, coldest.values) > 0.9:
            because = "never zero, it rises with the coldest cell"
            evidence = f"{low:.0f} to {high:.0f} kW"
            yield Vote(DISCHARGE_LIMIT, one.key, weight("limit") - 1.0, because, evidence, one.unit)
