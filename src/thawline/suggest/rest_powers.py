"""Votes on powers that no balance found: by what they go with."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.anchors import Anchors
from thawline.suggest.claims import Claims
from thawline.suggest.curves import fit, smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.places import CONVERTER, OUTPUT, POWER_OF_ALL
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.weights import weight

Readings = Mapping[str, Sequence[Reading]]
#: Powers are compared as means over so many seconds [s].
MEAN_S = 5
#: Phases that a supply may have; one current may stand for all [1].
PHASES = (1, 2, 3)
#: Speed from which a car drives [km/h], and the share of a drive's power then [1].
DRIVES_KMH, DRIVES_SHARE = 2.0, 0.97
#: A drive draws more than this at some time [kW].
DRIVE_KW = 8.0
#: A load that never rests varies less than this about its mean [1].
STEADY = 0.6


def rest_powers(anchors: Anchors, readings: Readings, claims: Claims) -> Iterator[Vote]:
    """Say which powers are the charger's, the drives' and the converter's, without a balance.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    readings : mapping of str to sequence of Reading
        Readings by kind.
    claims : Claims
        What is claimed so far.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    free = claims.free(readings["power"])
    if not claims.has(OUTPUT):
        yield from _output(anchors, free)
    if not claims.has(POWER_OF_ALL):
        yield from _drives(free, [one for one in readings["velocity"] if one.is_said])
    if not claims.has(CONVERTER):
        yield from _converter(free)


def _output(anchors: Anchors, free: Sequence[Reading]) -> Iterator[Vote]:
    supply = anchors.supply
    if supply is None or supply.is_direct:
        return
    drawn = smooth(supply.power_kW, MEAN_S)
    for one in free:
        found = fit(smooth(one.values, MEAN_S), [drawn])
        shares = [found.factors[0] / phases for phases in PHASES]
        low, high = threshold("efficiency_low"), threshold("efficiency_high")
        efficient = [share for share in shares if low <= share <= high * 1.02]
        if efficient and found.explained > threshold("output_follows"):
            because = "it is what a charger makes of the supply's power"
            evidence = f"{efficient[0]:.0%} of it, {found.explained:.1%} explained"
            yield Vote(OUTPUT, one.key, weight("output_alone"), because, evidence, one.unit)


def _drives(free: Sequence[Reading], speeds: Sequence[Reading]) -> Iterator[Vote]:
    found = [one for one in free if any(_only_driving(one, speed) for speed in speeds)]
    if len(found) == 1:
        because = "it flows only while the car drives"
        top = float(np.nanmax(found[0].values))
        evidence = f"up to {top:.0f} kW"
        yield Vote(POWER_OF_ALL, found[0].key, weight("drives"), because, evidence, found[0].unit)


def _only_driving(one: Reading, speed: Reading) -> bool:
    there = np.isfinite(one.values) & np.isfinite(speed.values)
    size: NDArray[np.float64] = np.abs(one.values[there])
    goes = smooth((speed.values[there] > DRIVES_KMH).astype(np.float64), 2 * MEAN_S + 1) > 0.0
    if not goes.any() or goes.all() or float(size.max(initial=0.0)) < DRIVE_KW:
        return False
    return bool(size[goes].sum() > DRIVES_SHARE * size.sum())


def _converter(free: Sequence[Reading]) -> Iterator[Vote]:
    found = []
    for one in free:
        low, high = float(np.nanpercentile(one.values, 1)), float(np.nanmax(one.values))
        mean = float(np.nanmean(one.values))
        is_small = low > 0.03 and 0.1 < high < threshold("converter_most")
        if is_small and high - low < STEADY * 2.0 * mean and high > low:
            found.append(one)
    for one in found:
        because = "a small load that never rests"
        evidence = f"{np.nanmean(one.values):.2f} kW in the mean"
        value = weight("converter_alone") - 2.0 * (len(found) - 1)
        yield Vote(CONVERTER, one.key, value, because, evidence, one.unit)
