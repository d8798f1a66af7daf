"""What holds charging back now: told by what is drawn, by the pack and by what is wanted."""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from thawline.forecast.settings import setting
from thawline.forecast.supply_now import SupplyNow
from thawline.recording.flows import Flows
from thawline.story.requests import Wish

#: Means that a standstill is told from at least [1].
LEAST_PARTS = 8


def wish_of(wish: Wish | None, now_s: float) -> bool | None:
    """Tell whether something is wanted.

    Parameters
    ----------
    wish : Wish or None
        When it was wanted; None where no signal tells.
    now_s : float
        The instant [s].

    Returns
    -------
    bool or None
        True or False as a signal says; None if none does.
    """
    return None if wish is None else wish.rise_before(now_s, 2.0) is not None


def nothing_flows(supply: SupplyNow, levels: Mapping[str, float]) -> bool:
    """Tell whether nothing is charged although a supply has been there for long enough.

    Parameters
    ----------
    supply : SupplyNow
        The supply.
    levels : mapping of str to float
        Powers now [kW].

    Returns
    -------
    bool
        False too if the pack's power is not recorded.
    """
    there = supply.state == "there" and supply.back_for_s > setting("charging_waits_s")
    return there and levels.get("pack", float("inf")) < setting("on_kW")


def has_room(supply: SupplyNow, loads_kW: float) -> bool:
    """Tell whether a supply leaves something for charging, if its ceiling is known.

    Parameters
    ----------
    supply : SupplyNow
        The supply.
    loads_kW : float
        All loads behind the charger [kW].

    Returns
    -------
    bool
        True if it does.
    """
    top = supply.ceiling_kW
    return top is not None and supply.efficiency * top - loads_kW > setting("room_kW")


def gives_all(supply: SupplyNow, pack_kW: float) -> bool:
    """Tell whether a supply gives less than it is thought to: else no pack would help it.

    Parameters
    ----------
    supply : SupplyNow
        The supply.
    pack_kW : float
        What goes into the pack [kW].

    Returns
    -------
    bool
        True if it gives all that it can.
    """
    if supply.state != "there":
        return False
    settled = supply.back_for_s > setting("charging_waits_s")
    top = supply.ceiling_kW
    roomy = top is None or supply.drawn_kW < setting("busy_share") * top
    helped = supply.drawn_kW > setting("on_kW") and pack_kW < -setting("helps_kW")
    return settled and roomy and helped


def is_pinned(flows: Flows, now_s: float) -> bool:
    """Tell whether the supply stands still while the pack takes the changes of the loads.

    Parameters
    ----------
    flows : Flows
        The powers until now.
    now_s : float
        The instant [s].

    Returns
    -------
    bool
        True if it does, and the pack gives: the supply is at its ceiling.
    """
    supply, pack = flows.flows.get("supply"), flows.flows.get("pack")
    if supply is None or pack is None or len(flows.t) < 2:
        return False
    per = max(1, int(setting("newest_s") / (flows.t[1] - flows.t[0])))
    late = (flows.t > now_s - setting("wander_seen_s")) & (flows.t <= now_s)
    late &= ~np.isnan(supply.kW) & ~np.isnan(pack.kW)
    given, taken = (
        each[late][: late.sum() // per * per].reshape(-1, per).mean(axis=1)
        for each in (supply.kW, pack.kW)
    )
    if len(given) < LEAST_PARTS or given.min() < setting("on_kW"):
        return False
    moves = float(np.std(taken))
    helps = float(np.max(taken)) < 0.0 and moves > setting("pinned_kW")
    return helps and float(np.std(given)) < setting("pinned_share") * moves


def charging_shows(supply: SupplyNow, levels: Mapping[str, float]) -> float | None:
    """Give the charging power if nothing but the pack's own limit holds it.

    Parameters
    ----------
    supply : SupplyNow
        The supply.
    levels : mapping of str to float
        Powers now [kW].

    Returns
    -------
    float or None
        The power; None if something else may hold it, or nothing flows [kW].
    """
    top, pack = supply.ceiling_kW, levels.get("pack", 0.0)
    if supply.state != "there" or not supply.is_rated or top is None or pack < setting("on_kW"):
        return None
    return pack if supply.drawn_kW < setting("busy_share") * top else None
