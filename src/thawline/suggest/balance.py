"""Find the powers that make up the pack's power: what the charger gives less what loads take.

    P_pack = P_charger - ΣP_load - const

Each power counts with a factor of exactly +1 or -1 (-2 for one of two alike drive units);
nothing else is fitted. So a power that is found here has the right unit too.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.balance_search import (
    THOUSAND,
    Sums,
    alone,
    make_sums,
    rest_of,
    search,
    split_twins,
)
from thawline.suggest.curves import keeps_to_levels, smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.thresholds import threshold

#: Powers are compared as means over so many seconds: their sensors lag differently [s].
MEAN_S = 5
#: Values above with steps from here are W rather than kW [1].
LARGE, LARGE_STEP = 400.0, 1.0
#: Factors above are those of powers in kW that were taken as W [1].
IN_KW = 30.0
Floats = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Term:
    """One power of the balance.

    Parameters
    ----------
    reading : Reading
        The power.
    factor : int
        +1 if it feeds the pack, -1 if it draws from it, -2 if it draws twice [1].
    alone : float
        Factor that a fit would give it, all others held, over ``factor`` [1].
    share : float
        Share of the variance of the pack's power that is left open without it [1].
    """

    reading: Reading
    factor: int
    alone: float
    share: float


@dataclass(frozen=True, slots=True)
class Balance:
    """The powers that explain the pack's.

    Parameters
    ----------
    terms : tuple of Term
        The powers.
    explained : float
        Share of the variance of the pack's power that they explain [1].
    rest_kW : float
        Standard deviation of what is left [kW].
    left_kW : ndarray of float64, shape (n,), or None
        What the powers leave of the pack's, second by second [kW].
    """

    terms: tuple[Term, ...] = ()
    explained: float = 0.0
    rest_kW: float = 0.0
    left_kW: Floats | None = None

    @property
    def loads(self) -> list[Term]:
        """What draws from the pack."""
        return [term for term in self.terms if term.factor < 0]

    @property
    def feeds(self) -> list[Term]:
        """What feeds the pack."""
        return [term for term in self.terms if term.factor > 0]


def balance(
    pack_kW: Floats, powers: Sequence[Reading], segment: NDArray[np.int64], without: frozenset[str]
) -> Balance:
    """Find the powers that explain the pack's.

    Where the pack's power hardly moves, because the charger gives what the loads take, one
    power is taken as the charger's and what it leaves is explained.

    Parameters
    ----------
    pack_kW : ndarray of float64, shape (n,)
        Power into the pack [kW].
    powers : sequence of Reading
        Readings as powers.
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].
    without : frozenset of str
        Keys that are known to be something else.

    Returns
    -------
    Balance
        The powers; empty if they explain too little.
    """
    pool = _pool([one for one in powers if one.key not in without])
    target = smooth(pack_kW, MEAN_S)
    best = _balance(target, pool, segment)
    if best.explained >= threshold("balance_good"):
        return _with_left(best, pack_kW)
    small_kW = max(threshold("balance_rest"), 0.3 * float(np.nanstd(target)))
    for feed in filter(_rests_at_zero, pool):
        others = [one for one in pool if one.key != feed.key]
        for reading in _in_units(feed):
            left = _balance(target - smooth(reading.values, MEAN_S), others, segment)
            is_good = left.explained > max(best.explained, threshold("balance_good"))
            if is_good and left.loads and left.rest_kW < small_kW:
                term = Term(reading, 1, 1.0, left.explained)
                best = replace(left, terms=(term, *left.terms))
    return _with_left(best, pack_kW)


def _with_left(found: Balance, pack_kW: Floats) -> Balance:
    if not found.terms:
        return found
    made = np.sum([term.factor * term.reading.values for term in found.terms], axis=0)
    return replace(found, left_kW=pack_kW - made)


def _balance(target: Floats, pool: Sequence[Reading], segment: NDArray[np.int64]) -> Balance:
    """Balance the powers one by one, and with those that go together as one; take the better."""
    single = _balance_of(target, pool, segment)
    groups = _together(pool)
    if len(groups) == len(pool):
        return single
    joined = _balance_of(target, [_sum_of(group) for group in groups], segment)
    if joined.explained < single.explained - 0.001:
        return single
    by_key = {_sum_of(group).key: group for group in groups}
    terms = [
        replace(term, reading=member)
        for term in joined.terms
        for member in by_key[term.reading.key]
    ]
    return replace(joined, terms=tuple(terms))


def _together(pool: Sequence[Reading]) -> list[list[Reading]]:
    """Put powers together whose courses are the same: no fit can tell them apart."""
    groups: list[list[Reading]] = []
    for one in pool:
        for group in groups:
            if one.is_said == group[0].is_said and _goes_with(group[0], one):
                group.append(one)
                break
        else:
            groups.append([one])
    return groups


def _goes_with(one: Reading, other: Reading) -> bool:
    a, b = smooth(one.values, MEAN_S), smooth(other.values, MEAN_S)
    both = np.isfinite(a) & np.isfinite(b)
    return bool(both.any() and np.corrcoef(a[both], b[both])[0, 1] > threshold("goes_with"))


def _sum_of(group: Sequence[Reading]) -> Reading:
    if len(group) == 1:
        return group[0]
    total = np.sum([one.values for one in group], axis=0)
    return replace(group[0], key="+".join(one.key for one in group), values=total)


def _balance_of(target: Floats, pool: Sequence[Reading], segment: NDArray[np.int64]) -> Balance:
    sums = make_sums(target, [smooth(one.values, MEAN_S) for one in pool], segment)
    if sums is None:
        return Balance()
    # the size of a number tells W from kW, so that no factor of a thousand is left to choose
    said = [True] * len(pool)
    choice = search(sums, said)
    if not choice:
        return Balance()
    choice = split_twins(sums, [one.key for one in pool], said, choice)
    rest = rest_of(sums, choice)
    explained = 1.0 - rest / sums.whole
    if explained < threshold("balance_least"):
        return Balance()
    terms = sorted((_term(sums, choice, i, pool[i]) for i in choice), key=lambda term: -term.share)
    return Balance(tuple(terms), explained, float(np.sqrt(rest / sums.n)))


def _term(sums: Sums, choice: dict[int, float], i: int, reading: Reading) -> Term:
    others = {j: f for j, f in choice.items() if j != i}
    open_without = (rest_of(sums, others) if others else sums.whole) - rest_of(sums, choice)
    factor = choice[i]
    if abs(factor) > IN_KW:
        reading, factor = _as_kW(reading), factor / THOUSAND
    return Term(reading, round(factor), alone(sums, choice, i), open_without / sums.whole)


def _as_kW(reading: Reading) -> Reading:
    values, step = reading.values * THOUSAND, reading.step * THOUSAND
    return replace(reading, unit="kW", values=values, step=step)


def _in_units(reading: Reading) -> Iterator[Reading]:
    yield reading


def _rests_at_zero(reading: Reading) -> bool:
    there = reading.values[np.isfinite(reading.values)]
    top = float(np.max(np.abs(there)))
    rests = np.abs(there) <= max(0.02 * top, reading.step)
    return bool(there.min() >= -0.05 * top and rests.mean() > 0.01)


def _may_be(reading: Reading) -> bool:
    """Tell whether a curve may be a load or a charger: where no unit says so, it rests at 0."""
    there = np.isfinite(reading.values)
    if there.sum() < 0.8 * len(there) or float(np.nanstd(reading.values)) <= 0.0:
        return False
    if reading.is_said:
        return float(np.ptp(reading.values[there])) > threshold("balance_span_least")
    return (
        _is_of_size(reading)
        and _rests_at_zero(reading)
        and not keeps_to_levels(reading.values, reading.step)
    )


def _is_of_size(reading: Reading) -> bool:
    """Tell whether a reading without a unit is taken in the unit that its size suggests."""
    scale = THOUSAND if reading.unit == "W" else 1.0
    top, step = scale * float(np.nanmax(np.abs(reading.values))), scale * reading.step
    is_large = top > LARGE and step >= LARGE_STEP
    return reading.unit == ("W" if is_large else "kW")


def _pool(powers: Sequence[Reading]) -> list[Reading]:
    """Keep what may be; where there is too much, what moves most."""
    kept = [one for one in powers if _may_be(one)]
    kept.sort(key=lambda one: (not one.is_said, -float(np.nanstd(one.values))))
    return kept[: int(threshold("balance_pool"))]
