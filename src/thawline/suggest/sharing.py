"""Share the loads out: which heats the drive units, which the coolant, which the cabin.

A winding is ahead of the coolant in proportion to the power that heats it. The cabin integrates
its heaters' power. Each load is explained once, and each temperature too; so that what
heaters and cabin have in common, when both begin together, is settled by the whole.

    T_winding - T_in = r · P(t - lag),    C · dT/dt = P - (T - T(0)) / R
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.balance import Term
from thawline.suggest.curves import fit, integral, smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.likeness import alike, proportion
from thawline.suggest.thresholds import threshold
from thawline.suggest.warming import (
    CELLS,
    OUTLET,
    SMOOTH_S,
    WINDING,
    Follower,
    Warming,
    is_moving,
    is_regulated,
)

Floats = NDArray[np.float64]
#: What heaters of the coolant and of the cabin count beside windings [1].
COOLANT_COUNTS, CABIN_COUNTS = 0.8, 0.7
#: Share of a winding's lead from which a load heats it rather than the coolant [1].
LEADS = 0.6
#: What it counts that a load explains the warming of the cells [1].
CELLS_COUNT = 0.7


@dataclass(frozen=True, slots=True)
class Warmed:
    """A temperature that a load warms.

    Parameters
    ----------
    reading : Reading
        The temperature.
    load : Term
        The load, or one of several alike.
    capacity_kJ_per_K : float
        Heat capacity that the fit gives [kJ/K].
    explained : float
        Share of its course that the load explains [1].
    """

    reading: Reading
    load: Term
    capacity_kJ_per_K: float
    explained: float


@dataclass(frozen=True, slots=True)
class Shared:
    """What each load does.

    Parameters
    ----------
    windings : tuple of Follower
        Winding temperatures, in the order of the database.
    heats : tuple of Term
        Loads that heat them, in the order of the database.
    share : float
        Share of the windings' lead that the loads explain [1].
    coolant : tuple of Term
        Loads that heat the coolant without a winding.
    warmed : tuple of Warmed
        Temperatures of the cabin with the loads that warm them, quickest first.
    score : float
        How well the whole is explained [1].
    margin : float
        How much better than by the next best sharing [1].
    """

    windings: tuple[Follower, ...] = ()
    heats: tuple[Term, ...] = ()
    share: float = 0.0
    coolant: tuple[Term, ...] = ()
    warmed: tuple[Warmed, ...] = ()
    score: float = 0.0
    margin: float = 0.0


def warmed_by(
    temperatures: Sequence[Reading], groups: Sequence[Sequence[Term]], segment: NDArray[np.int64]
) -> list[list[Warmed]]:
    """Fit the course of every temperature by every group of loads, as a cabin's.

    Parameters
    ----------
    temperatures : sequence of Reading
        Readings as temperatures.
    groups : sequence of sequence of Term
        Loads that are alike.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Returns
    -------
    list of list of Warmed
        For each group, the temperatures that it may warm.
    """
    found: list[list[Warmed]] = [[] for _ in groups]
    given = [np.sum([load.reading.values for load in group], axis=0) for group in groups]
    energies = [integral(power, segment) for power in given]
    low, high = threshold("cabin_capacity_low"), threshold("cabin_capacity_high")
    for one in filter(is_moving, temperatures):
        calm = smooth(one.values, SMOOTH_S)
        above = integral(calm - calm[np.isfinite(calm)][0], segment)
        for group, energy, into in zip(groups, energies, found, strict=True):
            made = fit(calm, [energy, above], segment)
            rise, fall = made.factors
            if rise <= 0.0 or made.explained < threshold("warms_least"):
                continue
            tau = -1.0 / fall if fall < 0.0 else np.inf
            if low < 1.0 / rise < high and tau > threshold("cabin_tau_low"):
                into.append(Warmed(one, group[0], 1.0 / rise, made.explained))
    return found


def share_out(
    warming: Warming,
    groups: Sequence[Sequence[Term]],
    warmed: Sequence[Sequence[Warmed]],
    segment: NDArray[np.int64],
) -> Shared:
    """Find what each load does, in the light of one warm-up.

    Parameters
    ----------
    warming : Warming
        The warm-up.
    groups : sequence of sequence of Term
        Loads that are alike.
    warmed : sequence of sequence of Warmed
        From ``warmed_by``.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Returns
    -------
    Shared
        The sharing that explains most.
    """
    chain = {warming.inlet.key}
    chain |= {one.reading.key for role in (OUTLET, CELLS) for one in warming.of(role)}
    free = [[one for one in found if one.reading.key not in chain] for found in warmed]
    options = [Shared(warmed=_cabin(free, groups, None, frozenset()))]
    by_windings = _by_windings(warming, groups, free)
    led = {one.heats[0].reading.key for one in by_windings if one.share > LEADS}
    options += by_windings
    # a load that windings follow heats them, and the coolant by way of them
    options += [
        one for one in _by_coolant(warming, groups, free) if one.coolant[0].reading.key not in led
    ]
    cells = {group[0].reading.key: _warms_cells(warming, group, segment) for group in groups}
    scored = sorted((_scored(one, cells) for one in options), key=lambda one: -one.score)
    best = scored[0]
    others = [one.score for one in scored if _what(one) != _what(best)]
    margin = best.score - max(others, default=0.0)
    return Shared(
        best.windings, best.heats, best.share, best.coolant, best.warmed, best.score, margin
    )


def _warms_cells(warming: Warming, group: Sequence[Term], segment: NDArray[np.int64]) -> float:
    """Tell how well a group of loads explains the warming of the cells."""
    cells = warming.of(CELLS)
    if not cells:
        return 0.0
    course = np.mean([smooth(one.reading.values, SMOOTH_S) for one in cells], axis=0)
    if not np.isfinite(course).any():
        return 0.0
    energy = integral(np.sum([load.reading.values for load in group], axis=0), segment)
    above = integral(course - course[np.isfinite(course)][0], segment)
    made = fit(course, [energy, above], segment)
    rise = made.factors[0]
    low, high = threshold("pack_capacity_low"), threshold("pack_capacity_high")
    if rise <= 0.0 or not low < 1.0 / rise < high:
        return 0.0
    return made.explained


def _what(one: Shared) -> tuple[frozenset[str], frozenset[str]]:
    """Name what a sharing says: the windings, and the loads that heat."""
    heats = frozenset(term.reading.key for term in (*one.heats, *one.coolant))
    return frozenset(lead.reading.key for lead in one.windings), heats


def _by_windings(
    warming: Warming, groups: Sequence[Sequence[Term]], free: Sequence[Sequence[Warmed]]
) -> list[Shared]:
    inlet = smooth(warming.inlet.values, SMOOTH_S)
    leads = [one for one in warming.of(WINDING) if not is_regulated(one.reading)]
    found = []
    for number, group in enumerate(groups):
        total = np.sum([load.reading.values for load in group], axis=0)
        shares = [proportion(smooth(one.reading.values, SMOOTH_S) - inlet, total) for one in leads]
        for lead, share in zip(leads, shares, strict=True):
            if share < threshold("heated_least"):
                continue
            windings = [one for one in leads if alike(one.reading, lead.reading)]
            used = frozenset(one.reading.key for one in windings)
            cabin = _cabin(free, groups, number, used)
            windings.sort(key=lambda one: one.reading.order)
            found.append(Shared(tuple(windings), tuple(group), share, (), cabin))
    return found


def _by_coolant(
    warming: Warming, groups: Sequence[Sequence[Term]], free: Sequence[Sequence[Warmed]]
) -> list[Shared]:
    behind = warming.of(OUTLET) or warming.of(CELLS)
    if not behind:
        return []
    carried = smooth(warming.inlet.values, SMOOTH_S) - smooth(behind[0].reading.values, SMOOTH_S)
    found = []
    for number, group in enumerate(groups):
        total = np.sum([load.reading.values for load in group], axis=0)
        share = proportion(carried, total)
        if share > threshold("heated_good"):
            cabin = _cabin(free, groups, number, frozenset())
            found.append(Shared((), (), share, tuple(group), cabin))
    return found


def _cabin(
    free: Sequence[Sequence[Warmed]],
    groups: Sequence[Sequence[Term]],
    heat: int | None,
    used: frozenset[str],
) -> tuple[Warmed, ...]:
    """Take the temperatures that the other loads warm, each with the load that does it best."""
    best: dict[str, Warmed] = {}
    for number, _ in enumerate(groups):
        if number == heat:
            continue
        for one in free[number]:
            key = one.reading.key
            if key not in used and (key not in best or one.explained > best[key].explained):
                best[key] = one
    return tuple(sorted(best.values(), key=lambda one: one.capacity_kJ_per_K))


def _nines(share: float) -> float:
    """Count how little a share leaves open: 1 for 90, 2 for 99 percent."""
    return -float(np.log10(1.003 - share))


def _scored(one: Shared, cells: Mapping[str, float]) -> Shared:
    score = 0.0
    for load in (*one.heats[:1], *one.coolant[:1]):
        score += CELLS_COUNT * _nines(cells.get(load.reading.key, 0.0))
    if one.windings:
        score += _nines(one.share)
    if one.coolant:
        score += COOLANT_COUNTS * _nines(one.share)
    by_load: dict[str, float] = {}
    for item in one.warmed:
        key = item.load.reading.key
        by_load[key] = max(by_load.get(key, 0.0), _nines(item.explained))
    score += CABIN_COUNTS * sum(by_load.values())
    return Shared(one.windings, one.heats, one.share, one.coolant, one.warmed, score)
