"""Balance the powers while the car stands: drives lose what no signal shows."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.suggest.balance import Balance
from thawline.suggest.curves import smooth
from thawline.suggest.kinds import Reading
from thawline.suggest.pack import Pair
from thawline.suggest.thresholds import threshold

Floats = NDArray[np.float64]
#: A car drives where it moves [km/h], or where its power leaps beside the mean [kW]; so many
#: seconds around count too [s], and more than this share of a log is not left out [1].
DRIVES_KMH, DRIVES_KW, CALM_S, MOST_DRIVEN = 1.0, 12.0, 61, 0.8


def joined(whole: Balance, standing: Balance) -> Balance:
    """Take the loads from where the car stands, and what drives it from the whole.

    Parameters
    ----------
    whole : Balance
        Of the whole log.
    standing : Balance
        Of the times in which the car stands.

    Returns
    -------
    Balance
        The latter with the drives of the former, if it is good; else the former.
    """
    if standing.explained < threshold("balance_good") or not standing.terms:
        return whole
    known = {term.reading.key for term in standing.terms}
    most = max(float(np.nanmax(np.abs(term.reading.values))) for term in standing.terms)
    drives = [
        term
        for term in whole.terms
        if term.factor < 0
        and term.reading.key not in known
        and float(np.nanmax(term.reading.values)) > max(most, DRIVES_KW)
    ]
    return replace(standing, terms=(*standing.terms, *drives))


def standing(pair: Pair, readings: Mapping[str, Sequence[Reading]]) -> Floats | None:
    """Leave the pack's power out while the car drives: a drive need not have a signal.

    Parameters
    ----------
    pair : Pair
        Voltage and current of the pack.
    readings : mapping of str to sequence of Reading
        Readings by kind.

    Returns
    -------
    ndarray of float64, shape (n,), or None
        Power into the pack, NaN while the car drives [kW]; None if it never or always does.
    """
    power = pair.power_kW
    wild = np.abs(smooth(pair.power_kW - smooth(power, CALM_S), 3)) > DRIVES_KW
    for speed in readings["velocity"]:
        if speed.is_said:
            wild |= np.nan_to_num(np.abs(speed.values)) > DRIVES_KMH
    wide = smooth(wild.astype(np.float64), CALM_S) > 0.0
    return np.where(wide, np.nan, power) if 0.0 < wide.mean() < MOST_DRIVEN else None
