"""Find which powers, each counted with a whole factor, add up to a given power.

All are fitted freely first. What can be spared is dropped, and what would need a factor that
no power has, until each one left is needed and has a factor that it can have.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.thresholds import threshold

Floats = NDArray[np.float64]
#: What feeds the pack, what draws from it, and what draws twice: one of two alike units, where
#: the other has no signal. Powers without a unit are taken as W, and count a thousandfold if
#: they are kW [1].
FACTORS = (1.0, -1.0, -2.0)
THOUSAND = 1000.0
#: Fewest seconds that a balance rests on [s].
LEAST_S = 120


@dataclass(frozen=True, slots=True)
class Sums:
    """Inner products of centred curves: enough to weigh any choice of them.

    Parameters
    ----------
    whole : float
        Of the target with itself [kW^2].
    with_target : ndarray of float64, shape (m,)
        Of each curve with the target [kW^2].
    with_each_other : ndarray of float64, shape (m, m)
        Of each curve with each other [kW^2].
    n : int
        Seconds [s].
    """

    whole: float
    with_target: Floats
    with_each_other: Floats
    n: int


def _centred(x: Floats, number: NDArray[np.int64], good: NDArray[np.bool_]) -> Floats:
    kept = x[good]
    counts = np.bincount(number).astype(np.float64)
    return kept - (np.bincount(number, kept) / counts)[number]


def make_sums(target: Floats, curves: Sequence[Floats], segment: NDArray[np.int64]) -> Sums | None:
    """Multiply curves out, each centred within every stretch.

    Parameters
    ----------
    target : ndarray of float64, shape (n,)
        What they should add up to [kW].
    curves : sequence of ndarray of float64, each of shape (n,)
        The powers [kW].
    segment : ndarray of int, shape (n,)
        Stretches without gaps [1].

    Returns
    -------
    Sums or None
        None if too few seconds have all values, or the target does not move.
    """
    good = np.isfinite(target)
    for curve in curves:
        good &= np.isfinite(curve)
    if good.sum() < LEAST_S or not curves:
        return None
    _, number = np.unique(segment[good], return_inverse=True)
    y = _centred(target, number, good)
    whole = float(y @ y)
    if whole <= 0.0:
        return None
    x = np.column_stack([_centred(curve, number, good) for curve in curves])
    return Sums(whole, x.T @ y, x.T @ x, int(good.sum()))


def rest_of(sums: Sums, choice: dict[int, float]) -> float:
    """Sum the squares of what a choice of powers leaves.

    Parameters
    ----------
    sums : Sums
        The inner products.
    choice : dict of int to float
        Factors by the powers' places [1].

    Returns
    -------
    float
        Sum of squares [kW^2].
    """
    at = list(choice)
    factors = np.array([choice[i] for i in at], dtype=np.float64)
    inner = sums.with_each_other[np.ix_(at, at)]
    left = sums.whole - 2.0 * factors @ sums.with_target[at] + factors @ inner @ factors
    return max(float(left), 0.0)


def alone(sums: Sums, choice: dict[int, float], i: int) -> float:
    """Fit one factor, all others held.

    Parameters
    ----------
    sums : Sums
        The inner products.
    choice : dict of int to float
        Factors by the powers' places [1].
    i : int
        The power's place [1].

    Returns
    -------
    float
        The factor over the one chosen: 1 if they agree [1].
    """
    crossed = sum(f * float(sums.with_each_other[i, j]) for j, f in choice.items() if j != i)
    return (float(sums.with_target[i]) - crossed) / float(sums.with_each_other[i, i]) / choice[i]


def _free(sums: Sums, at: Sequence[int]) -> tuple[Floats, float]:
    """Fit factors freely; give them and what is left."""
    inner = sums.with_each_other[np.ix_(at, at)]
    scale = np.sqrt(np.diag(inner))
    target = sums.with_target[list(at)] / scale
    factors, *_ = np.linalg.lstsq(inner / np.outer(scale, scale), target, rcond=1e-10)
    return factors / scale, max(sums.whole - float(target @ factors), 0.0)


def search(sums: Sums, is_said: Sequence[bool]) -> dict[int, float]:
    """Find the powers that are needed, with their factors.

    Parameters
    ----------
    sums : Sums
        The inner products.
    is_said : sequence of bool
        Whether each power's unit is known; else it may be W or kW.

    Returns
    -------
    dict of int to float
        Factors by the powers' places; empty if none fits [1].
    """
    at = [i for i in range(len(sums.with_target)) if sums.with_each_other[i, i] > 0.0]
    floor = threshold("balance_gain_least") * sums.whole
    while at:
        factors, whole = _free(sums, at)
        without = [
            _free(sums, [j for j in at if j != i])[1] if len(at) > 1 else sums.whole for i in at
        ]
        spared = int(np.argmin(without))
        if without[spared] - whole < max(threshold("balance_gain") * whole, floor):
            at.pop(spared)
            continue
        near = [nearest_factor(f, said=is_said[i]) for i, f in zip(at, factors, strict=True)]
        off = np.abs(factors / np.array(near) - 1.0)
        worst = int(np.argmax(off))
        if off[worst] <= threshold("balance_factor"):
            return dict(zip(at, near, strict=True))
        at.pop(worst)
    return {}


def nearest_factor(factor: float, *, said: bool) -> float:
    """Find the factor that can be and is nearest.

    Parameters
    ----------
    factor : float
        A factor from a free fit [1].
    said : bool
        Whether the power's unit is known.

    Returns
    -------
    float
        The factor [1].
    """
    scale = 1.0 if said or abs(factor) < np.sqrt(THOUSAND) else THOUSAND
    like = [scale * one for one in FACTORS if one * factor > 0.0] or [scale * FACTORS[0]]
    return min(like, key=lambda one: abs(factor - one))


def split_twins(
    sums: Sums, keys: Sequence[str], is_said: Sequence[bool], choice: dict[int, float]
) -> dict[int, float]:
    """Give the half of what draws twice to a power that is like it, where there is one.

    Parameters
    ----------
    sums : Sums
        The inner products.
    keys : sequence of str
        Keys of the powers.
    is_said : sequence of bool
        Whether each power's unit is known.
    choice : dict of int to float
        Factors by the powers' places [1].

    Returns
    -------
    dict of int to float
        The same, or with twins [1].
    """
    before = rest_of(sums, choice)
    for i, factor in choice.items():
        if abs(factor) not in (2.0, 2.0 * THOUSAND):
            continue
        for j, key in enumerate(keys):
            if key in {keys[k] for k in choice}:
                continue
            for half in (-1.0,) if is_said[j] else (-1.0, -THOUSAND):
                more = {**choice, i: factor / 2.0, j: half}
                if rest_of(sums, more) <= 1.2 * before:
                    return split_twins(sums, keys, is_said, more)
    return choice
