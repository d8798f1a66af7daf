"""Decide whether temperatures without a unit are in degC or degF.

A warm-up looks alike in both. Where limits of the pack open, they tell: near 0 °C in the right
unit, far from it in the wrong one. Else the usual unit is taken.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from thawline.suggest.anchors import Anchors
from thawline.suggest.kinds import Reading
from thawline.suggest.tell_limits import opens_as_usual
from thawline.suggest.warming import CELLS, Warming

#: How much more usual the limits must open in one unit than in the other [1].
CLEARLY = 0.8


def on_the_right_scale(
    anchors: Anchors, powers: Sequence[Reading], without: frozenset[str]
) -> Anchors:
    """Put the warm-up first whose unit lets the pack's limits open where they usually do.

    Parameters
    ----------
    anchors : Anchors
        What was found first.
    powers : sequence of Reading
        Readings as powers.
    without : frozenset of str
        Keys that are known to be no limits.

    Returns
    -------
    Anchors
        The same, its warm-ups perhaps in another order.
    """
    first = anchors.warming
    if first is None or first.inlet.is_said:
        return anchors
    other = next(
        (
            one
            for one in anchors.warmings
            if one.inlet.unit != first.inlet.unit and one.score > first.score - MOST_BEHIND
        ),
        None,
    )
    if other is None:
        return anchors
    if _usual(other, powers, without) > _usual(first, powers, without) + CLEARLY:
        at = anchors.warmings.index(other)
        warmings = (other, *anchors.warmings[:at], *anchors.warmings[at + 1 :])
        shared = (anchors.shared[at], *anchors.shared[:at], *anchors.shared[at + 1 :])
        return replace(anchors, warmings=warmings, shared=shared)
    return anchors


#: How far the other unit's warm-up may be behind [1].
MOST_BEHIND = 3.5


def _usual(warming: Warming, powers: Sequence[Reading], without: frozenset[str]) -> float:
    cells = [one.reading for one in warming.of(CELLS)]
    if not cells:
        return -1.0
    coldest = min(cells, key=lambda one: float(np.nanmean(one.values)))
    return opens_as_usual(coldest, powers, without)
