"""Share out the supply at a step of the look ahead: loads and heat first, or charging first."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.habits import Habits
from thawline.forecast.settings import setting

Array = NDArray[np.float64]


def allowed_now(habits: Habits, coldest: Array, curve: Callable[[Array], Array]) -> Array | None:
    """Give what may go into the pack.

    Parameters
    ----------
    habits : Habits
        Where charging is allowed from.
    coldest : ndarray of float64, shape (k, m)
        The coldest cell [degC].
    curve : callable
        Gives how much [kW] above where charging is allowed from [K], member by member.

    Returns
    -------
    ndarray of float64, shape (k, m), or None
        Power; None where no member may be charged [kW].
    """
    above = coldest - habits.charging_degC
    may = above >= 0.0
    if not may.any():
        return None
    return np.asarray(np.where(may, curve(np.maximum(above, 0.0)), 0.0))


def charging_ahead(
    habits: Habits, there: NDArray[np.bool_], limit: Array | None, loads: Array
) -> tuple[Array, Array]:
    """Give what goes into the pack, and what is drawn from the supply.

    Parameters
    ----------
    habits : Habits
        The most that supply and charger give, and the charger's efficiency.
    there : ndarray of bool, shape (k, m)
        Whether the supply is there.
    limit : ndarray of float64, shape (k, m), or None
        What may go into the pack; None: nothing [kW].
    loads : ndarray of float64, shape (k, m)
        All loads [kW].

    Returns
    -------
    tuple of ndarray of float64, shape (k, m)
        Charging power and supply power [kW].
    """
    if limit is None:
        drawn = loads / habits.efficiency
        if habits.ceiling_kW is not None:
            drawn = np.minimum(drawn, habits.ceiling_kW)
        return np.zeros(loads.shape), np.where(there, drawn, 0.0)
    if habits.ceiling_kW is None:
        charge = np.where(there, np.minimum(limit, setting("unknown_supply_kW")), 0.0)
        return charge, np.where(there, (loads + charge) / habits.efficiency, 0.0)
    left = habits.efficiency * habits.ceiling_kW - loads
    charge = np.where(there, np.minimum(np.maximum(left, 0.0), limit), 0.0)
    drawn = np.minimum((loads + charge) / habits.efficiency, habits.ceiling_kW)
    return charge, np.where(there, drawn, 0.0)


def heat_kept(
    habits: Habits, there: NDArray[np.bool_], limit: Array, heat: Array, others: Array
) -> Array:
    """Give the share of the heat that goes on where charging comes before it.

    Parameters
    ----------
    habits : Habits
        Whether charging comes first.
    there : ndarray of bool, shape (k, m)
        Whether the supply is there.
    limit : ndarray of float64, shape (k, m)
        What may go into the pack [kW].
    heat : ndarray of float64, shape (k, m)
        Heat that is wanted [kW].
    others : ndarray of float64, shape (k, m)
        The other loads [kW].

    Returns
    -------
    ndarray of float64, shape (k, m)
        Share [1].
    """
    if habits.ceiling_kW is None or not habits.charges_first.any():
        return np.ones(heat.shape)
    room = habits.efficiency * habits.ceiling_kW - others
    rest = np.maximum((room - limit) / np.maximum(heat, 1e-6), setting("kept_share"))
    first = habits.charges_first & there & (limit > 0.0)
    return np.asarray(np.where(first, np.minimum(rest, 1.0), 1.0))
