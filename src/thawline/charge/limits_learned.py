r"""What the pack allows, learned from recordings.

.. math:: P(T, s) = \min\bigl(f(T), g(s)\bigr)

with *f* never falling with the coldest cell and *g* never rising with the state of charge,
each by isotonic regression; samples well below *f* are held back by the charge and belong to
*g*. Where no limit is recorded, *f* is the upper envelope of what was achieved: at least so
much was allowed.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.charge.learned import LimitCurve, LimitPoints, Threshold
from thawline.charge.observed import COLDEST, Observed
from thawline.charge.rising import binned, interval, never_falling
from thawline.charge.settings import setting
from thawline.charge.thresholds_learned import threshold_of

Array = NDArray[np.float64]
#: Fits of both curves in turn [1].
ROUNDS = 3
#: What each thermometer tells.
AGAINST = {"Min": "coldest cell", "Average": "mean of the pack", "Max": "warmest cell"}


def achieved(observed: Observed, what: str) -> Array:
    """Tell how much went into the pack while charging or regenerating.

    Parameters
    ----------
    observed : Observed
        The recording.
    what : str
        ``charging`` or ``regeneration``.

    Returns
    -------
    ndarray of float64, shape (n,)
        Power into the pack, zero when there is none; NaN when it is not the time for it [kW].
    """
    moves = observed.moves
    now = moves if what == "regeneration" else observed.supplied & ~moves
    return np.where(now, np.maximum(observed.into_pack_kW, 0.0), np.nan)


def _points(seen: Sequence[tuple[Observed, Array]]) -> LimitPoints:
    parts: list[tuple[Array, Array, Array, NDArray[np.int64]]] = []
    for number, (observed, kW) in enumerate(seen):
        tick = float(observed.t[1] - observed.t[0]) if len(observed.t) > 1 else 1.0
        every = max(1, round(setting("every_s") / tick))
        known = np.flatnonzero(~np.isnan(kW) & ~np.isnan(observed.coldest_degC))[::every]
        which = np.full(len(known), number, dtype=np.int64)
        parts.append((observed.coldest_degC[known], observed.charge_pct[known], kW[known], which))
    return LimitPoints(
        np.concatenate([part[0] for part in parts]),
        np.concatenate([part[1] for part in parts]),
        np.concatenate([part[2] for part in parts]),
        np.concatenate([part[3] for part in parts]),
    )


def _by_temperature(degC: Array, kW: Array, quantile: float | None) -> tuple[Array, Array]:
    x, y, weight = binned(degC, kW, setting("bin_K"), int(setting("least_bin_samples")), quantile)
    if quantile is not None:
        return x, np.maximum.accumulate(y) if len(y) else y
    return x, never_falling(y, weight)


def _both(points: LimitPoints, is_open: NDArray[np.bool_]) -> tuple[Array, ...]:
    """Fit both curves in turn; give f's points, and g's."""
    degC, kW, pct = points.degC[is_open], points.kW[is_open], points.charge_pct[is_open]
    free = np.ones(len(degC), dtype=bool)
    x, f = _by_temperature(degC, kW, None)
    s, g = np.zeros(0), np.zeros(0)
    if not len(x) or np.all(np.isnan(pct)):
        return x, f, s, g
    # what charge holds back lies below what the same temperature allowed elsewhere
    top_x, top = _by_temperature(degC, kW, setting("achieved_quantile"))
    for _ in range(ROUNDS):
        held = kW < setting("held_share") * np.interp(degC, top_x, top) - 0.1
        high = np.nan_to_num(pct) >= _held_from(pct, held)
        free = ~(held & high)
        x, f = _by_temperature(degC[free], kW[free], None)
        if not len(x) or not np.any(~free):
            break
        top_x, top = x, f
    if np.count_nonzero(~free) > setting("least_bin_samples"):
        s, g, weight = binned(pct[~free], kW[~free], 1.0, int(setting("least_bin_samples")))
        g = never_falling(g, weight, rising=False)
        if len(s):
            s, g = np.append(s[0] - 1e-6, s), np.append(max(float(f[-1]), float(g[0])), g)
    return x, f, s, g


def _held_from(pct: Array, held: NDArray[np.bool_]) -> float:
    """Find the charge from which most samples are held back; infinite if there is none."""
    best, found = setting("held_contrast"), float("inf")
    for edge in np.arange(setting("held_from_pct"), 100.0, 1.0):
        above = pct >= edge
        if np.count_nonzero(above) < setting("least_bin_samples"):
            break
        # held above the edge, not held below it
        below = float(np.mean(held[~above])) if np.any(~above) else 1.0
        score = float(np.mean(held[above])) - below
        if score > best:
            best, found = score, float(edge)
    return found


def _full_from(x: Array, f: Array) -> float | None:
    if len(x) < 2 or f[-1] <= 0.0:
        return None
    at = int(np.argmax(f >= setting("flat_share") * f[-1]))
    return float(x[at]) if x[-1] - x[at] >= setting("flat_K") else None


def _enough(x: Array, f: Array, most_kW: float) -> float | None:
    if not len(x) or most_kW <= 0.0 or f[-1] < most_kW:
        return None
    return float(x[int(np.argmax(f >= most_kW))])


def _most_asked(all_seen: Sequence[Observed], what: str) -> float:
    most = 0.0
    for observed in all_seen:
        power = achieved(observed, what)
        if np.any(~np.isnan(power)):
            most = max(most, float(np.nanquantile(power, 0.999)))
    return most


def learn_limit(all_seen: Sequence[Observed], what: str) -> LimitCurve | None:
    """Learn what the pack allows.

    Parameters
    ----------
    all_seen : sequence of Observed
        The recordings of one vehicle, in the order of their start.
    what : str
        ``charging`` or ``regeneration``.

    Returns
    -------
    LimitCurve or None
        From the limit's signal where some recording has it, else from what was achieved; None
        where neither is known together with a temperature.
    """
    seen = [(one, one.limit(what)) for one in all_seen]
    is_limit, least = True, setting("zero_kW")
    if not any(np.any(~np.isnan(kW + one.coldest_degC)) for one, kW in seen):
        seen = [(one, achieved(one, what)) for one in all_seen]
        is_limit, least = False, setting("achieved_kW")
    seen = [(one, kW) for one, kW in seen if np.any(~np.isnan(kW + one.coldest_degC))]
    if not seen:
        return None
    # one thermometer for all: mean and coldest cell are not to be mixed
    against = min((one.coldest_from for one, _ in seen), key=COLDEST.index)
    seen = [(one, kW) for one, kW in seen if one.coldest_from == against]
    points, threshold = _points(seen), threshold_of(seen, least, is_limit=is_limit)
    is_open = points.kW > least
    if not np.any(is_open):
        return _shut(what, is_limit, against, points, threshold, len(seen))
    quantile = None if is_limit else setting("achieved_quantile")
    if is_limit:
        x, f, s, g = _both(points, is_open)
    else:
        x, f = _by_temperature(points.degC[is_open], points.kW[is_open], quantile)
        s, g = np.zeros(0), np.zeros(0)
    if not len(x):
        return _shut(what, is_limit, against, points, threshold, len(seen))
    held = _is_held(points, x, f, len(s) > 0)
    numbers = np.flatnonzero(is_open & ~held)

    def again(drawn: NDArray[np.int64]) -> Array:
        chosen = numbers[drawn]
        xs, ys = _by_temperature(points.degC[chosen], points.kW[chosen], quantile)
        if not len(xs):
            return np.full(len(x), np.nan)
        # where a draw does not reach, it tells nothing
        return np.interp(x, xs, ys, left=np.nan, right=np.nan)

    low, high = interval(points.recording[numbers], setting("every_s"), again, f)
    slope = np.gradient(f, x) if len(x) > 1 else np.zeros(len(x))
    sigma_K = float(np.median([one.coldest_sigma_K for one, _ in seen]))
    wide = 1.64 * np.abs(slope) * sigma_K / np.sqrt(len(seen))
    most = _most_asked(all_seen, what)
    misfit = _misfit(points, is_open & ~held, x, f)
    pct = points.charge_pct[~np.isnan(points.charge_pct)]
    return LimitCurve(
        what,
        "limit signal" if is_limit else "achieved",
        AGAINST[against],
        x,
        f,
        np.maximum(f - np.hypot(f - low, wide), 0.0),
        f + np.hypot(high - f, wide),
        threshold,
        _full_from(x, f) if is_limit else None,
        _enough(x, f, most) if is_limit else None,
        most if most > 0.0 else None,
        s,
        g,
        (float(pct.min()), float(pct.max())) if len(pct) else None,
        misfit,
        points,
        len(seen),
    )


def _is_held(points: LimitPoints, x: Array, f: Array, by_charge: bool) -> NDArray[np.bool_]:
    if not by_charge:
        return np.zeros(len(points.kW), dtype=bool)
    below = setting("held_share") * np.interp(points.degC, x, f) - 0.1
    return np.asarray(points.kW < below)


def _misfit(points: LimitPoints, chosen: NDArray[np.bool_], x: Array, f: Array) -> float:
    fit = np.interp(points.degC[chosen], x, f)
    off = np.abs(points.kW[chosen] - fit) / np.maximum(fit, setting("achieved_kW"))
    return float(np.quantile(off, 0.9)) if len(off) else 0.0


def _shut(
    what: str,
    is_limit: bool,
    against: str,
    points: LimitPoints,
    threshold: Threshold,
    count: int,
) -> LimitCurve:
    """Give the curve of a limit that never left zero."""
    ends = np.array([float(points.degC.min()), float(points.degC.max())])
    nothing = np.zeros(2)
    return LimitCurve(
        what,
        "limit signal" if is_limit else "achieved",
        AGAINST[against],
        ends,
        nothing,
        nothing,
        nothing,
        threshold,
        None,
        None,
        None,
        np.zeros(0),
        np.zeros(0),
        None,
        0.0,
        points,
        count,
    )
