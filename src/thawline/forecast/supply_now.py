"""The supply now: whether it is there, what it can give, what it gives."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.levels import level_now
from thawline.forecast.settings import setting
from thawline.recording.flows import Flows
from thawline.story.offers import Offer
from thawline.story.tell import Acts
from thawline.vehicle.vehicle import Vehicle

#: A supply that was there this lately is there [s].
LATELY_S = 3.0
#: Ticks of charging from which an efficiency is read [1].
ENOUGH = 30
#: Ticks that a power is held to count as the most seen [1].
STEADY = 20


@dataclass(frozen=True, slots=True)
class SupplyNow:
    """The supply at an instant.

    Parameters
    ----------
    state : str
        ``there``, ``lost``, ``none`` or ``unknown``.
    lost_for_s : float
        For how long it has been lost [s].
    back_for_s : float
        For how long it has been there [s].
    ceiling_kW : float or None
        The most that supply and charger give; None if nothing tells [kW].
    drawn_kW : float
        What is drawn from it [kW].
    efficiency : float
        Share that reaches the direct-current side [1].
    most_seen_kW : float
        The most that was drawn from it so far, steadily [kW].
    is_rated : bool
        Whether the charger's rating is known, or a charger outside needs none.
    is_outside : bool
        Whether direct current comes from a charger outside.
    """

    state: str
    lost_for_s: float
    back_for_s: float
    ceiling_kW: float | None
    drawn_kW: float
    efficiency: float
    most_seen_kW: float = 0.0
    is_rated: bool = True
    is_outside: bool = False


def _efficiency(vehicle: Vehicle, flows: Flows) -> float:
    supply, output = flows.flows.get("supply"), flows.flows.get("charger-output")
    if vehicle.charger.efficiency is not None:
        return vehicle.charger.efficiency
    if supply is None or output is None:
        return setting("efficiency")
    on = (np.nan_to_num(supply.kW) > 1.0) & ~np.isnan(output.kW)
    if on.sum() < ENOUGH:
        return setting("efficiency")
    return float(np.clip(np.sum(output.kW[on]) / np.sum(supply.kW[on]), 0.7, 1.0))


def _told_kW(offer: Offer, *, outside: bool) -> float | None:
    """Give what is offered or rated, the lesser; a rating says nothing of a charger outside."""
    top = None if outside else offer.rated_kW
    offered = np.zeros(0) if offer.supply_kW is None else offer.supply_kW
    offered = offered[~np.isnan(offered)]
    if len(offered):  # slow signals may be silent in the last tick
        top = float(offered[-1]) if top is None else min(top, float(offered[-1]))
    return top


def _most_seen(kW: NDArray[np.float64]) -> float:
    """Give the power that was exceeded for some seconds only."""
    known = np.sort(kW[~np.isnan(kW)])
    return float(known[-min(STEADY, len(known))]) if len(known) else 0.0


def read_supply(vehicle: Vehicle, flows: Flows, acts: Acts) -> tuple[SupplyNow, tuple[str, ...]]:
    """Read the supply at the end of a recording.

    Parameters
    ----------
    vehicle : Vehicle
        The vehicle.
    flows : Flows
        The powers until now.
    acts : Acts
        What was on and off until now.

    Returns
    -------
    SupplyNow
        What it is.
    tuple of str
        What is taken for granted, in plain words.
    """
    scene, offer, present = acts.scene, acts.supplied.offer, acts.supplied.present
    now, last = float(scene.t[-1]), len(scene.t) - 1
    supply = flows.flows.get("supply")
    drawn = 0.0 if supply is None else level_now(flows.t, np.nan_to_num(supply.kW), now)
    outside = bool(present) and bool(offer.outside[present[-1].first : present[-1].last + 1].any())
    top = _told_kW(offer, outside=outside)
    if top is not None and drawn > top:  # a rating may be meant behind the charger's losses
        top = drawn if drawn < setting("belied_times") * top else None
    efficiency = _efficiency(vehicle, flows)
    if not present:
        silent = supply is None and acts.supplied.cable is None and offer.amps is None
        state = "unknown" if silent else "none"
        return SupplyNow(state, 0.0, 0.0, top, 0.0, efficiency), ("A supply is plugged in.",)
    if supply is not None:  # in a silence of the log the last word counts
        known = np.flatnonzero(~np.isnan(supply.kW))
        now = float(scene.t[known[-1]]) if len(known) else now
    gone = now - float(scene.t[present[-1].last])
    back = now - float(scene.t[present[-1].first])
    if gone <= LATELY_S:
        seen = 0.0 if supply is None else _most_seen(supply.kW)
        rated = outside or offer.rated_kW is not None
        there = SupplyNow("there", 0.0, back, top, drawn, efficiency, seen, rated, outside)
        return there, ("The car stays plugged in.",)
    cable = acts.supplied.cable
    if cable is None or any(stretch.last >= last - 2 for stretch in cable):
        said = f"The supply has been lost for {gone:.0f} s; when it returns is a guess."
        return SupplyNow("lost", gone, 0.0, top, 0.0, efficiency), (said,)
    return SupplyNow("none", 0.0, 0.0, top, 0.0, efficiency), ("A supply is plugged in.",)
