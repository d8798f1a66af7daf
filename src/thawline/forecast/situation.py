"""What goes on now: heat, supply, cabin, flow, and what is wanted."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.heat_now import HeatNow, read_heat
from thawline.forecast.held_back import (
    charging_shows,
    gives_all,
    has_room,
    is_pinned,
    nothing_flows,
    wish_of,
)
from thawline.forecast.levels import level_now
from thawline.forecast.settings import setting
from thawline.forecast.supply_now import SupplyNow, read_supply
from thawline.recording.flows import Flows
from thawline.recording.recording import Recording
from thawline.story import names
from thawline.story.tell import Acts
from thawline.warmup.case import Case


@dataclass(frozen=True, slots=True)
class Situation:
    """What goes on at an instant.

    Parameters
    ----------
    now_s : float
        The instant [s].
    heat : HeatNow
        The heat.
    supply : SupplyNow
        The supply.
    shares_supply : bool
        Whether heat takes what other loads leave of the supply.
    target_degC : float or None
        Pack temperature that the car says it heats to [degC].
    cabin_on : bool
        Whether the cabin is conditioned.
    cabin_kW : float
        Its power [kW].
    base_kW : float
        Other loads [kW].
    flow_share : float
        Coolant flow over the reference, while the pump runs [1].
    still_share : float
        The same now, if it stands although there is heat [1].
    pump_stopped : bool
        Whether the pump stands although there is heat.
    comfortable_degC : float
        Cabin air that counts as comfortable [degC].
    waits : bool
        Whether nothing is charged although a supply is there and charging is not known to be
        unwanted.
    loads_kW : float
        All loads behind the charger [kW].
    helped_kW : float
        What the pack gives beside the supply [kW].
    charges_kW : float or None
        What goes into the pack while the supply has room for more; None if it is not so [kW].
    assumes : tuple of str
        What is taken for granted, in plain words.
    """

    now_s: float
    heat: HeatNow
    supply: SupplyNow
    shares_supply: bool
    target_degC: float | None
    cabin_on: bool
    cabin_kW: float
    base_kW: float
    flow_share: float
    still_share: float
    pump_stopped: bool
    comfortable_degC: float
    waits: bool
    loads_kW: float
    helped_kW: float
    charges_kW: float | None
    assumes: tuple[str, ...]

    @property
    def is_spared(self) -> bool:
        """Whether windings are spared for their heat."""
        return self.heat.is_less and self.heat.is_warm and not self.shares_supply


def _flow(case: Case, limits: LearnedLimits | None, *, heating: bool) -> tuple[float, float]:
    """Give the flow while the pump runs, and the flow now; both over the reference."""
    grid = case.grid
    if not case.has_flow:
        return 1.0, 1.0
    shares, heat = grid.flows[grid.level], grid.inputs[:, 0] + grid.inputs[:, 1]
    running = shares[(heat > setting("on_kW")) & (shares > 0.0)]
    now = float(shares[-3:].mean())
    learned = None if limits is None else limits.flow_share
    usual = float(np.median(running[-60:])) if len(running) else learned or 1.0
    if not heating:
        return usual, usual
    return (usual, now) if now < setting("stopped_share") * usual else (now, now)


def last_value(recording: Recording, path: str, now_s: float) -> float | None:
    """Give what a signal said last.

    Parameters
    ----------
    recording : Recording
        The recording.
    path : str
        The signal.
    now_s : float
        The instant [s].

    Returns
    -------
    float or None
        Its last sample until then, in the catalogue's unit; None if there is none.
    """
    channel = recording.channels.get(path)
    if channel is None:
        return None
    i = int(np.searchsorted(channel.t, now_s, side="right")) - 1
    return float(channel.values[i]) if i >= 0 else None


def _comfort(recording: Recording, now_s: float) -> float:
    stated = recording.vehicle.cabin.comfortable_from_degC
    if stated is not None:
        return stated
    target = last_value(recording, names.CABIN_TARGET, now_s)
    return setting("comfortable_degC") if target is None else target - setting("below_target_K")


def _base(levels: dict[str, float], supply: SupplyNow, heats_kW: float) -> float:
    """Give the other loads: as recorded, or more if what is given goes nowhere else."""
    base = levels.get("low-voltage", setting("base_load_kW"))
    if "pack" not in levels:
        return base
    output = levels.get("charger-output", supply.efficiency * supply.drawn_kW)
    left = output - levels["pack"] - heats_kW
    return left if left > base + setting("unseen_load_kW") else base


def charge_limit_now(recording: Recording, now: Situation, now_s: float) -> float | None:
    """Give the limit of charging now: as its signal says, or as charging shows it.

    Parameters
    ----------
    recording : Recording
        The recording.
    now : Situation
        What goes on.
    now_s : float
        The instant [s].

    Returns
    -------
    float or None
        The limit; None if nothing tells [kW].
    """
    told = last_value(recording, names.CHARGE_LIMIT, now_s)
    return now.charges_kW if told is None else told


def read_situation(
    recording: Recording,
    flows: Flows,
    acts: Acts,
    case: Case,
    limits: LearnedLimits | None,
    now_s: float,
) -> Situation:
    """Read what goes on now.

    Parameters
    ----------
    recording : Recording
        The recording, cut at now.
    flows : Flows
        Its powers.
    acts : Acts
        What its story found on and off.
    case : Case
        The recording as the model sees it.
    limits : LearnedLimits or None
        What earlier mornings taught.
    now_s : float
        The instant [s].

    Returns
    -------
    Situation
        What goes on, and what has to be assumed.
    """
    heat, of_heat = read_heat(recording, flows, acts, case, limits, now_s)
    supply, of_supply = read_supply(recording.vehicle, flows, acts)
    said = [*of_heat, *of_supply]
    wanted = wish_of(acts.wishes.charging, now_s)
    if not wanted:
        said.append("Charging is requested.")
    levels = {
        name: level_now(flows.t, np.nan_to_num(flow.kW), now_s)
        for name, flow in flows.flows.items()
        if name in ("cabin-heating", "pack", "low-voltage", "charger-output")
    }
    cabin = case.sources.cabin_kW
    cabin_kW = 0.0 if cabin is None else level_now(flows.t, cabin, now_s)
    heats_kW = level_now(flows.t, case.sources.total_kW, now_s)
    base_kW = _base(levels, supply, heats_kW + cabin_kW)
    loads_kW = heats_kW + cabin_kW + base_kW
    waits = nothing_flows(supply, levels) and wanted is not False
    allowed = last_value(recording, names.CHARGE_LIMIT, now_s)
    if waits and allowed is not None and allowed > setting("room_kW"):
        if has_room(supply, loads_kW):
            said.append("The supply gives no more than now: charging is allowed, yet none flows.")
        waits, supply = False, replace(supply, ceiling_kW=supply.drawn_kW, is_rated=True)
    pinned = is_pinned(flows, now_s) or gives_all(supply, levels.get("pack", 0.0))
    if supply.state == "there" and pinned and not heat.is_young:
        if has_room(supply, loads_kW) or supply.ceiling_kW is None:
            said.append("The supply gives no more than now: the pack helps it.")
        supply = replace(supply, ceiling_kW=supply.drawn_kW, is_rated=True)
    top = supply.most_seen_kW if supply.ceiling_kW is None else supply.ceiling_kW
    busy = supply.drawn_kW > max(setting("busy_share") * top, setting("on_kW"))
    even = busy and abs(levels.get("pack", np.inf)) < setting("shared_kW")
    told = supply.ceiling_kW is not None and heat.is_settled and heats_kW > setting("on_kW")
    shares = even and ((heat.is_less and cabin_kW > setting("on_kW")) or told)
    flow, still = _flow(case, limits, heating=heat.state == "on")
    stopped = still < setting("stopped_share") * flow and not heat.is_young
    if stopped:
        said.append("The coolant stands although there is heat: the pump may have failed.")
    return Situation(
        now_s,
        heat,
        supply,
        shares,
        last_value(recording, names.CONDITIONING_TARGET, now_s),
        cabin_kW > setting("on_kW") or bool(wish_of(acts.wishes.cabin, now_s)),
        cabin_kW,
        base_kW,
        flow,
        still,
        stopped,
        _comfort(recording, now_s),
        waits,
        loads_kW,
        max(-levels.get("pack", 0.0), 0.0) if supply.state == "there" else 0.0,
        charging_shows(supply, levels),
        tuple(said),
    )
