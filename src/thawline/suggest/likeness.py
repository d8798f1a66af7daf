"""Tell which curves go together: twins of one course, and leads in proportion to a load."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.balance import Term
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.thresholds import threshold
from thawline.suggest.warming import SMOOTH_S

Floats = NDArray[np.float64]
#: Windings lag behind the power by so much [s].
LAGS_S = (20.0, 60.0, 120.0)
#: Loads that are looked at [1].
MOST_LOADS = 12


def proportion(ahead: Floats, load_kW: Floats) -> float:
    """Tell how well a temperature's lead is proportional to a load, with a lag.

    Parameters
    ----------
    ahead : ndarray of float64, shape (n,)
        Temperature less that of the coolant [K].
    load_kW : ndarray of float64, shape (n,)
        The load [kW].

    Returns
    -------
    float
        Share of the lead's mean square that the load explains; 0 if it is cooler [1].
    """
    # 0.2 s to import, and only this command needs it
    from scipy.signal import lfilter

    best = 0.0
    there = np.isfinite(ahead) & np.isfinite(load_kW)
    whole = float((ahead[there] ** 2).sum())
    if whole <= 0.0:
        return 0.0
    for lag in LAGS_S:
        lagged = lfilter([1.0 / lag], [1.0, 1.0 / lag - 1.0], np.nan_to_num(load_kW))[there]
        own = float((lagged**2).sum())
        if own > 0.0:
            factor = float(ahead[there] @ lagged) / own
            if factor > 0.0:
                left = float(((ahead[there] - factor * lagged) ** 2).sum())
                best = max(best, 1.0 - left / whole)
    return best


def alike(one: Reading, other: Reading) -> bool:
    """Tell whether two curves have the same course and nearly the same size.

    Parameters
    ----------
    one, other : Reading
        The two.

    Returns
    -------
    bool
        True if they do, as those of two drive units that work together.
    """
    if one.key == other.key:
        return True
    a, b = smooth(one.values, SMOOTH_S), smooth(other.values, SMOOTH_S)
    both = np.isfinite(a) & np.isfinite(b)
    if not both.any() or np.ptp(a[both]) <= 0.0 or np.ptp(b[both]) <= 0.0:
        return False
    size = float(np.ptp(a[both]) / np.ptp(b[both]))
    course = float(np.corrcoef(a[both], b[both])[0, 1])
    return bool(course > threshold("twins_least") and 0.5 < size < 2.0)


def group_loads(loads: Sequence[Term]) -> list[list[Term]]:
    """Put loads that are alike together.

    Parameters
    ----------
    loads : sequence of Term
        The loads.

    Returns
    -------
    list of list of Term
        Groups, each in the order of the database.
    """
    groups: list[list[Term]] = []
    for load in sorted(loads, key=lambda term: term.reading.order)[:MOST_LOADS]:
        for group in groups:
            if alike(group[0].reading, load.reading):
                group.append(load)
                break
        else:
            groups.append([load])
    return groups
