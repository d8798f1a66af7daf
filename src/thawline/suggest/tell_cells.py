"""Votes on the cells' temperatures: which is the lowest, the highest, the mean."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace

import numpy as np

from thawline.suggest.candidate import Scene
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.places import COLDEST, MEAN, WARMEST
from thawline.suggest.thresholds import threshold
from thawline.suggest.votes import Vote
from thawline.suggest.warming import CELLS, SMOOTH_S, Warming
from thawline.suggest.weights import weight

#: Correlation and ratio of sizes from which a temperature is of the same cells [1].
THIRD_GOES, THIRD_SIZE = 0.985, 0.65
#: With more temperatures of cells than this, most are single cells [1].
MOST_SUMMARIES = 3


def find_summaries(
    warming: Warming | None, scene: Scene, temperatures: Sequence[Reading] = ()
) -> list[Reading]:
    """Find the cells' temperatures that may be lowest, mean and highest, among single cells.

    Parameters
    ----------
    warming : Warming or None
        The warm-up that tells cells from other temperatures.
    scene : Scene
        All candidates.
    temperatures : sequence of Reading, optional
        Readings as temperatures, among which one more may go along with two.

    Returns
    -------
    list of Reading
        From the lowest to the highest; at most three.
    """
    if warming is None or warming.score < threshold("warming_good"):
        return []
    cells = [one.reading for one in warming.of(CELLS)]
    by_turns = {one.key for one in scene.candidates if one.is_by_turns}
    among = [one for one in cells if one.key not in by_turns] or cells
    if len(among) > MOST_SUMMARIES:
        among = _summaries(among)
    elif len(among) == MOST_SUMMARIES - 1:
        among += _third(among, warming, temperatures)
    return sorted(among, key=_level)


def _third(
    two: Sequence[Reading], warming: Warming, temperatures: Sequence[Reading]
) -> list[Reading]:
    """Find the one temperature that goes along with two of cells as they do with one another."""
    used = {warming.inlet.key, *(one.reading.key for one in warming.followers)}
    middle = np.mean([smooth(one.values, SMOOTH_S) for one in two], axis=0)
    found = []
    for one in temperatures:
        calm = smooth(one.values, SMOOTH_S)
        both = np.isfinite(calm) & np.isfinite(middle)
        if one.key in used or not both.any() or np.ptp(calm[both]) <= 2.0 * one.step:
            continue
        size = float(np.ptp(calm[both]) / max(float(np.ptp(middle[both])), 1e-9))
        course = float(np.corrcoef(calm[both], middle[both])[0, 1])
        if course > THIRD_GOES and THIRD_SIZE < size < 1.0 / THIRD_SIZE:
            found.append(one)
    return found if len(found) == 1 else []


def tell_cells(summaries: Sequence[Reading], warming: Warming | None) -> Iterator[Vote]:
    """Say which of the cells' temperatures are lowest, highest and mean.

    Parameters
    ----------
    summaries : sequence of Reading
        From ``find_summaries``.
    warming : Warming or None
        The warm-up that tells cells from other temperatures.

    Yields
    ------
    Vote
        What speaks for a signal.
    """
    if summaries and warming is not None:
        off = 0.0 if warming.is_full else weight("cells_unsure")
        for vote in _by_order(summaries, len(warming.of(CELLS))):
            yield replace(vote, weight=vote.weight + off)


def _level(reading: Reading) -> float:
    return float(np.nanmean(reading.values))


def _message(reading: Reading) -> str:
    return reading.key.rpartition(".")[0]


def _summaries(cells: Sequence[Reading]) -> list[Reading]:
    """Find two or three in one message that reach from the lowest to the highest of all."""
    low, high = min(map(_level, cells)), max(map(_level, cells))
    groups: Mapping[str, list[Reading]] = {}
    for one in cells:
        groups = {**groups, _message(one): [*groups.get(_message(one), []), one]}
    room = 0.15 * (high - low) + 0.05
    for group in groups.values():
        levels = sorted(map(_level, group))
        if (
            2 <= len(group) <= MOST_SUMMARIES
            and levels[0] < low + room
            and levels[-1] > high - room
        ):
            return group
    middle = float(np.mean([_level(one) for one in cells]))
    found = {one.key: one for one in (min(cells, key=_level), max(cells, key=_level))}
    mean = min(cells, key=lambda one: abs(_level(one) - middle))
    return list({**found, mean.key: mean}.values())


def _share_above(upper: Reading, lower: Reading) -> float:
    """Tell how often one lies above the other, rounding forgiven."""
    beside = smooth(upper.values, SMOOTH_S) - smooth(lower.values, SMOOTH_S)
    there = np.isfinite(beside)
    room = 0.5 * (upper.step + lower.step)
    return float(np.mean(beside[there] > -room)) if there.any() else 0.0


def _by_order(ordered: Sequence[Reading], cells: int) -> Iterator[Vote]:
    n = len(ordered)
    evidence = ", ".join(f"{_level(one):.2f}" for one in ordered) + " °C in the mean"
    many = 2.0 * (cells > n)  # of many cells, one may pass for a summary
    if n == 1:
        because = "the only temperature of cells that follows the coolant"
        yield Vote(
            COLDEST, ordered[0].key, weight("cells_only"), because, evidence, ordered[0].unit
        )
        return
    if n == 2:
        # what is not the lowest and highest would be one of these and the mean
        low, high = ordered
        value = weight("cells_pair") + 3.0 * (_share_above(high, low) - 0.6) - 0.5 * many
        yield Vote(
            COLDEST, low.key, value + 0.4, "the lower of two of the cells'", evidence, low.unit
        )
        yield Vote(WARMEST, high.key, value, "the higher of two of the cells'", evidence, high.unit)
        return
    low, middle, high = ordered[0], ordered[len(ordered) // 2], ordered[-1]
    kept = min(_share_above(high, middle), _share_above(middle, low))
    value = weight("cells_order") - 10.0 * (1.0 - kept) - 0.5 * many
    yield Vote(COLDEST, low.key, value, "the lowest of the cells' temperatures", evidence, low.unit)
    yield Vote(
        MEAN, middle.key, value, "between the cells' lowest and highest", evidence, middle.unit
    )
    yield Vote(
        WARMEST, high.key, value, "the highest of the cells' temperatures", evidence, high.unit
    )
