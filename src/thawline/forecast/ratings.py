"""Supply and charger where nobody tells what they give: usual sizes, not less than was seen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from thawline.forecast.allowed import TemperatureLimit
from thawline.forecast.settings import setting
from thawline.forecast.supply_now import SupplyNow

Array = NDArray[np.float64]
#: Sizes of chargers on board, as rows of the settings: 16 A and 32 A on one or three phases.
CHARGERS = ("small", "middle", "single", "three", "large")
#: Sizes of supplies, as rows of the settings.
SUPPLIES = ("household", "socket", "wall", "strong", "phases")


def draw_ceilings(
    supply: SupplyNow, before_kW: float | None, shape: tuple[int, ...], rng: np.random.Generator
) -> Array | None:
    """Draw the most that supply and charger give.

    Parameters
    ----------
    supply : SupplyNow
        The supply.
    before_kW : float or None
        The most that charging drew steadily on earlier mornings [kW].
    shape : tuple of int
        How many to draw [1].
    rng : Generator
        Random numbers.

    Returns
    -------
    ndarray of float64 or None
        What is offered, or what a charger of usual size takes of it, if the charger's rating is
        not known; None if nothing tells [kW].
    """
    least = max(supply.most_seen_kW, supply.drawn_kW)
    if supply.ceiling_kW is not None and supply.is_rated:
        return np.full(shape, supply.ceiling_kW)
    if supply.ceiling_kW is not None:
        given = np.full(shape, supply.ceiling_kW)
    elif supply.state == "there" and not supply.is_outside and least > setting("least_supply_kW"):
        given = _sizes("supply", SUPPLIES, least, shape, rng)
    else:
        return None
    if not supply.is_rated:
        given = np.minimum(given, _sizes("charger", CHARGERS, least, shape, rng))
    if before_kW is not None and before_kW * setting("belied_times") > least:
        again = rng.uniform(size=shape) < setting("as_before_share")
        most = np.inf if supply.ceiling_kW is None else supply.ceiling_kW
        given = np.where(again, min(max(before_kW, least), most), given)
    return np.asarray(given)


def reconcile(
    supply: SupplyNow,
    limit: TemperatureLimit,
    room_kW: Array,
    coldest: Array,
    begin: Array,
    ceiling: Array,
    rng: np.random.Generator,
) -> tuple[Array, Array]:
    """Mend members whose supply leaves room above their threshold, where yet nothing is charged.

    Either the supply gives no more than now, or the threshold lies above; both weigh by what
    was believed of them.

    Parameters
    ----------
    supply : SupplyNow
        The supply.
    limit : TemperatureLimit
        What is believed of the limit of charging.
    room_kW : ndarray of float64, shape (k, m)
        What the supply leaves behind the charger [kW].
    coldest, begin : ndarray of float64, shape (k, m)
        The coldest cell, and where charging is allowed from [degC].
    ceiling : ndarray of float64, shape (k, m)
        The most that supply and charger give [kW].
    rng : Generator
        Random numbers.

    Returns
    -------
    tuple of ndarray of float64, shape (k, m)
        Thresholds [degC] and ceilings [kW].
    """
    sure = supply.is_rated and supply.ceiling_kW is not None
    weaker = setting("weaker_known" if sure else "weaker_unknown")
    away = coldest - limit.from_degC
    share = limit.surprise_share
    above = (1.0 - share) * ndtr(-away / limit.sd_K) + share * ndtr(-away / limit.wide_K)
    late = setting("usual_lag_K") * rng.exponential(size=begin.shape)
    odd = (room_kW > setting("room_kW")) & (begin < coldest - late)
    gives_all = rng.uniform(size=begin.shape) < weaker / (weaker + above)
    ceilings = np.where(odd & gives_all, supply.drawn_kW, ceiling)
    later = coldest + rng.exponential(limit.sd_K, size=begin.shape)
    return np.where(odd & ~gives_all, later, begin), np.asarray(ceilings)


def _sizes(
    what: str, names: tuple[str, ...], least: float, shape: tuple[int, ...],
    rng: np.random.Generator,
) -> Array:  # fmt: skip
    """Draw a usual size that is not less than what was seen; what was seen if none is.

    What is drawn and equals a usual size is likely to be all that there is.
    """
    sizes = np.array([setting(f"{what}_{name}_kW") for name in names])
    weights = np.array([setting(f"{what}_{name}_share") for name in names])
    weights = weights * (sizes * setting("belied_times") > least)
    near = np.abs(sizes / least - 1.0) < setting("belied_times") - 1.0
    weights = np.where(near, weights * setting("near_size_times"), weights)
    sizes = np.where(near, least, sizes)
    if not weights.any():
        return np.full(shape, least)
    return np.asarray(rng.choice(sizes, size=shape, p=weights / weights.sum()))
