"""Votes on states of charge that hardly moved: by step, by level, by what the cold hides."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from thawline.suggest.charge import is_charge_like
from thawline.suggest.claims import Claims
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.places import DISPLAYED, PHYSICAL
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.weights import weight

#: Charges move over so many seconds, not only by noise [s].
CALM_S = 61
#: Steps apart from which two sensors differ in how finely they show [1].
FINER = 1.4


def rest_shares(shares: Sequence[Reading], claims: Claims) -> Iterator[Vote]:
    """Say which of two moving charges is the physical one, and which the displayed.

    The displayed one leaves out what the cold hides: it stands lower, and in coarser steps.

    Parameters
    ----------
    shares : sequence of Reading
        Readings as shares.
    claims : Claims
        What is claimed so far.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    moving = [one for one in shares if one.is_said and is_charge_like(one) and _moves(one)]
    if claims.has(PHYSICAL):
        best = claims.by_path[PHYSICAL]
        among = [one for one in moving if one.key == best]
        others = [one for one in moving if one.key != best]
        if among and not claims.has(DISPLAYED) and len(others) == 1:
            yield from _beside(others[0], among[0])
        return
    if len(moving) != 2:
        return
    one, other = sorted(moving, key=lambda reading: (reading.step, -_start(reading)))
    if abs(_start(one) - _start(other)) > threshold("charges_apart"):
        return
    finer, higher = other.step > FINER * one.step, _start(one) > _start(other) + 0.5 * one.step
    lower = _start(one) < _start(other) - 0.5 * other.step
    if (finer and not lower) or (higher and not finer):
        value = weight("charges_apart_both") if finer and higher else weight("charges_apart_one")
        evidence = f"steps of {one.step:g} and {other.step:g} %, "
        evidence += f"{_start(one):.1f} and {_start(other):.1f} % at first"
        because = "of two charges it is the finer, or the higher in the cold"
        yield Vote(PHYSICAL, one.key, value, because, evidence, one.unit)
        because = "of two charges it is the coarser, or the lower in the cold"
        yield Vote(DISPLAYED, other.key, value, because, evidence, other.unit)


def _beside(one: Reading, best: Reading) -> Iterator[Vote]:
    apart = _start(best) - _start(one)
    if -one.step < apart < threshold("charges_apart"):
        because = "the only other charge, no higher than the counted one in the cold"
        evidence = f"{apart:.1f} % below it at first"
        yield Vote(DISPLAYED, one.key, weight("charges_apart_both"), because, evidence, one.unit)


def _moves(one: Reading) -> bool:
    calm = smooth(one.values, CALM_S)
    calm = calm[np.isfinite(calm)]
    return bool(len(calm) and np.ptp(calm) > 0.6 * one.step)


def _start(one: Reading) -> float:
    there = one.values[np.isfinite(one.values)]
    return float(np.mean(there[:CALM_S]))
