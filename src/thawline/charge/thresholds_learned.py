"""Where a limit leaves zero: the coldest cell at each opening, and bounds where none is seen."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.charge.learned import Threshold
from thawline.charge.observed import SUPPLIED_KW, Observed
from thawline.charge.settings import setting

Array = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Opening:
    """A moment at which a power left zero.

    Parameters
    ----------
    degC : float
        Coldest cell then [degC].
    sigma_K : float
        Standard uncertainty [K].
    """

    degC: float
    sigma_K: float


def _with_spare(observed: Observed) -> NDArray[np.bool_]:
    """Tell when the supply could have given more, so that the pack was what held back."""
    supply = observed.supply_kW
    if np.all(np.isnan(supply)):
        return np.zeros(len(observed.t), dtype=bool)
    most = float(np.nanmax(supply))
    given = np.nan_to_num(supply)
    return np.asarray((given > SUPPLIED_KW) & (given < setting("spare_share") * most))


def openings(
    observed: Observed, kW: Array, least_kW: float, *, is_limit: bool = True
) -> list[Opening]:
    """Find when a power left zero, with the coldest cell of that moment.

    Parameters
    ----------
    observed : Observed
        The recording.
    kW : ndarray of float64, shape (n,)
        The power; NaN where unknown [kW].
    least_kW : float
        A power below this is none [kW].
    is_limit : bool
        False: the power is one that flowed; then an opening counts only if the supply had power
        to spare before, for else other loads may have come first.

    Returns
    -------
    list of Opening
        Only openings after a while at zero in which the pack was colder.
    """
    known = np.flatnonzero(~np.isnan(kW) & ~np.isnan(observed.coldest_degC))
    if len(known) < 2:
        return []
    values, coldest, t = kW[known], observed.coldest_degC[known], observed.t[known]
    spare = np.ones(len(t), dtype=bool) if is_limit else _with_spare(observed)[known]
    found = []
    for i in np.flatnonzero((values[1:] > least_kW) & (values[:-1] <= least_kW)) + 1:
        before = (t >= t[i] - setting("zero_for_s")) & (t < t[i])
        after = (t >= t[i]) & (t < t[i] + setting("zero_for_s"))
        shut = np.count_nonzero(before) >= 3 and np.all(values[before] <= least_kW)
        silent = t[i] - t[i - 1] > setting("zero_for_s")
        waited = is_limit or float(np.mean(spare[before])) > 0.9
        if not shut or silent or not waited or np.mean(values[after] > least_kW) < 0.8:
            continue
        width = abs(float(coldest[i] - coldest[i - 1]))
        sigma = float(np.hypot(observed.coldest_sigma_K, width / np.sqrt(12.0)))
        found.append(Opening(float((coldest[i] + coldest[i - 1]) / 2.0), sigma))
    return found


def threshold_of(
    seen: Sequence[tuple[Observed, Array]], least_kW: float, *, is_limit: bool
) -> Threshold:
    """Find the temperature at which a power leaves zero, from all recordings.

    Parameters
    ----------
    seen : sequence of (Observed, ndarray)
        Recordings, each with the power [kW].
    least_kW : float
        A power below this is none [kW].
    is_limit : bool
        Whether the power is a limit: then a zero says that nothing was allowed.

    Returns
    -------
    Threshold
        From openings where there are some; else what bounds it.
    """
    all_of_them = [
        one for observed, kW in seen for one in openings(observed, kW, least_kW, is_limit=is_limit)
    ]
    kept = all_of_them
    if kept:
        middle = float(np.median([one.degC for one in kept]))
        kept = [one for one in kept if abs(one.degC - middle) < setting("apart_K")]
    zero_until, above_from = _bounds(seen, least_kW, is_limit)
    if not kept:
        note = "no recording shows it leave zero"
        if zero_until is not None and above_from is not None and above_from > zero_until:
            note += f"; it lies between {zero_until:.1f} and {above_from:.1f} °C"
        elif above_from is not None:
            note += f"; it lies at or below {above_from:.1f} °C, the coldest that was recorded"
        elif zero_until is not None:
            note += f"; it lies above {zero_until:.1f} °C, the warmest that was recorded"
        return Threshold(None, None, zero_until, above_from, 0, note.replace("-", "−"))
    weights = np.array([1.0 / max(one.sigma_K, 0.01) ** 2 for one in kept])
    values = np.array([one.degC for one in kept])
    mean = float(np.sum(weights * values) / np.sum(weights))
    own = float(np.sqrt(1.0 / np.sum(weights)))
    scatter = float(np.std(values, ddof=1) / np.sqrt(len(values))) if len(values) > 1 else 0.0
    sigma = float(np.hypot(max(own, scatter), 0.5 * min(one.sigma_K for one in kept)))
    count = len(kept)
    note = f"seen to leave zero {'once' if count == 1 else f'{count} times'}"
    if len(all_of_them) > count:
        note += f"; {len(all_of_them) - count} openings for another reason left out"
    return Threshold(mean, sigma, zero_until, above_from, count, note)


def _bounds(
    seen: Sequence[tuple[Observed, Array]], least_kW: float, is_limit: bool
) -> tuple[float | None, float | None]:
    shut, opened = [], []
    for observed, kW in seen:
        known = ~np.isnan(kW) & ~np.isnan(observed.coldest_degC)
        coldest = observed.coldest_degC[known]
        is_open = kW[known] > least_kW
        if np.any(is_open):
            opened.append(float(np.quantile(coldest[is_open], 0.002)))
            if is_limit and not np.all(is_open):
                first = int(np.argmax(is_open))
                if first:
                    shut.append(float(np.max(coldest[:first])))
        elif is_limit and len(coldest):
            shut.append(float(np.max(coldest)))
    return (max(shut) if shut else None), (min(opened) if opened else None)
