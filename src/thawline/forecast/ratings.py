"""Supply and charger where nobody tells what they give: usual sizes, not less than was seen."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.settings import setting
from thawline.forecast.supply_now import SupplyNow

Array = NDArray[np.float64]
#: Sizes of chargers on board, as rows of the settings: 16 A and 32 A on one or three phases.
CHARGERS = ("small", "middle", "single", "three", "large")
#: Sizes of supplies, as rows of the settings.
SUPPLIES = ("household", "socket", "wall", "strong", "phases")


def draw_ceilings(
    supply: SupplyNow, shape: tuple[int, ...], rng: np.random.Generator
) -> Array | None:
    """Draw the most that supply and charger give.

    Parameters
    ----------
    supply : SupplyNow
        The supply.
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
    if supply.ceiling_kW is not None:
        given = np.full(shape, supply.ceiling_kW)
    elif supply.state == "there" and not supply.is_outside and least > setting("least_supply_kW"):
        given = _sizes("supply", SUPPLIES, least, shape, rng)
    else:
        return None
    if not supply.is_rated:
        given = np.minimum(given, _sizes("charger", CHARGERS, least, shape, rng))
    return np.asarray(np.maximum(given, least) if supply.ceiling_kW is None else given)


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
