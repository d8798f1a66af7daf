"""What goes on now: heat, supply, cabin, flow, and what is wanted."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.settings import setting
from thawline.recording.flows import Flows
from thawline.recording.powers import MOTOR, paths_like
from thawline.recording.recording import Recording
from thawline.story import names
from thawline.story.requests import Wish
from thawline.story.tell import Acts
from thawline.warmup.case import Case
from thawline.warmup.heat_sources import expected_heat_kW

Array = NDArray[np.float64]
#: Windings are looked at over this long [s].
HOT_SPOT_S = 300.0
#: Power that went on and off so many times lately has a duty cycle [1].
CYCLES = 3


@dataclass(frozen=True, slots=True)
class Situation:
    """What goes on at an instant.

    Parameters
    ----------
    now_s : float
        The instant [s].
    heat : str
        ``not-yet``, ``on``, ``interrupted`` or ``ended``.
    drive_kW, heater_kW : float
        Heat of drive units and of a heater while on, as it goes on [kW].
    full_kW : float
        Heat of the drive units before they are spared [kW].
    heat_sigma : float
        How surely, standard deviation of the logarithm [1].
    wander : float
        How far it wandered in the last minutes, standard deviation of the logarithm [1].
    off_for_s : float
        For how long heat has been off [s].
    hottest_degC : float or None
        Hottest winding of the last minutes; None if none is recorded [degC].
    is_spared : bool
        Whether windings are being spared for their heat.
    target_degC : float or None
        Pack temperature that the car says it heats to [degC].
    supply : str
        ``there``, ``lost``, ``none`` or ``unknown``.
    lost_for_s : float
        For how long the supply has been lost [s].
    ceiling_kW : float or None
        The most that supply and charger give [kW].
    drawn_kW : float
        What is drawn from the supply now [kW].
    efficiency : float
        Share of it that reaches the direct-current side [1].
    shares_supply : bool
        Whether heat takes what other loads leave of the supply.
    charging_wanted : bool or None
        None where no signal tells.
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
    assumes : tuple of str
        What is taken for granted, in plain words.
    """

    now_s: float
    heat: str
    drive_kW: float
    heater_kW: float
    full_kW: float
    heat_sigma: float
    wander: float
    off_for_s: float
    hottest_degC: float | None
    is_spared: bool
    target_degC: float | None
    supply: str
    lost_for_s: float
    ceiling_kW: float | None
    drawn_kW: float
    efficiency: float
    shares_supply: bool
    charging_wanted: bool | None
    cabin_on: bool
    cabin_kW: float
    base_kW: float
    flow_share: float
    still_share: float
    pump_stopped: bool
    comfortable_degC: float
    assumes: tuple[str, ...]


def _recent(t: Array, kW: Array, now_s: float) -> float:
    """Give the level at which a power goes on: its mean, or the newest after a change."""
    step = float(t[1] - t[0]) if len(t) > 1 else 1.0
    part = kW[(t > now_s - setting("recent_s")) & (t <= now_s + step / 2.0)]
    new = part[-max(1, int(setting("newest_s") / step)) :]
    if not len(part):
        return 0.0
    mean, latest = float(np.mean(part)), float(np.mean(new))
    on = part > setting("on_kW")
    if int(np.sum(on[1:] != on[:-1])) >= CYCLES:  # it goes on and off: its mean counts
        return mean
    is_new = abs(latest - mean) > setting("change_share") * max(mean, latest)
    return float(new[-1]) if is_new else mean


def _wander(t: Array, kW: Array, now_s: float) -> float:
    """Tell how far minute means of a power wandered of late, over their level."""
    part = kW[(t > now_s - setting("wander_seen_s")) & (t <= now_s)]
    per = max(1, int(60.0 / (t[1] - t[0]))) if len(t) > 1 else 1
    minutes = part[len(part) % per :].reshape(-1, per).mean(axis=1) if len(part) >= per else part
    minutes = minutes[minutes > setting("on_kW")][1:]
    if len(minutes) < 3:
        return setting("heat_wander_sigma")
    line = np.polyval(np.polyfit(np.arange(len(minutes)), minutes, 1), np.arange(len(minutes)))
    seen = float(np.std(minutes - line)) / float(np.mean(minutes))
    return float(np.clip(seen, setting("heat_wander_least"), setting("heat_wander_most")))


def _wanted(wish: Wish | None, now_s: float) -> bool | None:
    return None if wish is None else wish.rise_before(now_s, 2.0) is not None


def _heat(case: Case, t: Array, now_s: float) -> tuple[str, float, float, float, float]:
    """Tell the state of heating, its two levels, its full level and for how long it is off."""
    drive, heater = case.sources.drive_kW, case.sources.heater_kW
    past = t <= now_s + 0.5
    on = np.flatnonzero(((drive + heater) > setting("on_kW")) & past)
    if not len(on):
        return "not-yet", 0.0, 0.0, 0.0, 0.0
    off_for = max(0.0, now_s - float(t[on[-1]]) - 1.0)
    lately = ((drive + heater) > setting("on_kW"))[past & (t > now_s - 2.0 * setting("recent_s"))]
    cycles = int(np.sum(lately[1:] != lately[:-1])) >= CYCLES
    window = max(1, int(60.0 / (t[1] - t[0]))) if len(t) > 1 else 1
    smooth = np.convolve(drive[past], np.ones(window) / window, mode="valid")
    full = float(smooth.max()) if len(smooth) else float(drive[past].max())
    last = float(t[on[-1]])
    if off_for > setting("pause_s" if cycles else "blip_s"):
        return "interrupted", _recent(t, drive, last), _recent(t, heater, last), full, off_for
    return "on", _recent(t, drive, now_s), _recent(t, heater, now_s), full, off_for


def _supply(acts: Acts, case: Case, flows: Flows) -> tuple[str, float, float | None, float]:
    scene, i = acts.scene, len(acts.scene.t) - 1
    now = float(scene.t[i])
    offer = acts.supplied.offer
    top = offer.rated_kW
    offered = np.zeros(0) if offer.supply_kW is None else offer.supply_kW
    known = offered[~np.isnan(offered)]
    if len(known):  # slow signals may be silent in the last tick
        top = float(known[-1]) if top is None else min(top, float(known[-1]))
    supply = flows.flows.get("supply")
    drawn = 0.0 if supply is None else _recent(flows.t, np.nan_to_num(supply.kW), now)
    if top is None and drawn > setting("on_kW") and supply is not None:
        top = float(np.nanmax(supply.kW))
    present = acts.supplied.present
    if not present:
        unknown = supply is None and acts.supplied.cable is None and offer.amps is None
        return ("unknown" if unknown else "none"), 0.0, top, 0.0
    if supply is not None:  # in a silence of the log the last word counts
        known = np.flatnonzero(~np.isnan(supply.kW))
        now = float(scene.t[known[-1]]) if len(known) else now
    gone = now - float(scene.t[present[-1].last])
    if gone <= 3.0:
        return "there", 0.0, top, drawn
    plugged = acts.supplied.cable is None or any(s.last >= i - 2 for s in acts.supplied.cable)
    return ("lost" if plugged else "none"), gone, top, 0.0


def _hottest(recording: Recording, now_s: float) -> float | None:
    paths = [p for p in paths_like(recording, MOTOR, ".Temperature") if "EngineCoolant" not in p]
    found = []
    for path in paths or [MOTOR + "Temperature"]:
        channel = recording.channels.get(path)
        if channel is not None:
            part = channel.values[(channel.t > now_s - HOT_SPOT_S) & (channel.t <= now_s)]
            found += [float(part.max())] if len(part) else []
    return max(found) if found else None


def _flow(case: Case, limits: LearnedLimits | None, *, heating: bool) -> tuple[float, float]:
    """Give the flow while the pump runs, and the flow now; both over the reference."""
    grid = case.grid
    if not grid.flow_known:
        return 1.0, 1.0
    shares, heat = grid.flows[grid.level], grid.inputs[:, 0] + grid.inputs[:, 1]
    running = shares[(heat > setting("on_kW")) & (shares > 0.0)]
    now = float(shares[-3:].mean())
    if not len(running):
        learned = None if limits is None else limits.flow_share
        usual = learned or 1.0
        return usual, usual if not heating else now
    usual = float(np.median(running[-60:]))
    if not heating:
        return usual, usual
    return (usual, now) if now < setting("stopped_share") * usual else (now, now)


def _last(recording: Recording, path: str, now_s: float) -> float | None:
    channel = recording.channels.get(path)
    if channel is None:
        return None
    i = int(np.searchsorted(channel.t, now_s, side="right")) - 1
    return float(channel.values[i]) if i >= 0 else None


def _comfort(recording: Recording, now_s: float) -> float:
    stated = recording.vehicle.cabin.comfortable_from_degC
    if stated is not None:
        return stated
    target = _last(recording, names.CABIN_TARGET, now_s)
    return setting("comfortable_degC") if target is None else target - setting("below_target_K")


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
    vehicle, t = recording.vehicle, flows.t
    state, drive, heater, full, off_for = _heat(case, t, now_s)
    said: list[str] = []
    sigma = setting("heat_level_sigma")
    charging = _wanted(acts.wishes.charging, now_s)
    supply, lost_for, ceiling, drawn = _supply(acts, case, flows)
    began = next((s.begins for s in acts.heated.stretches[:1]), None)
    young = state == "on" and began is not None and now_s - began.t_s < setting("ramp_s")
    if state == "not-yet" or young:
        expected = expected_heat_kW(vehicle)
        if limits is not None and limits.heat_kW is not None:
            expected, sigma = limits.heat_kW, setting("heat_guess_sigma") / 2.0
            source = "as on earlier mornings"
        elif vehicle.drive_units.standstill_heat_kW is not None:
            sigma, source = setting("heat_guess_sigma"), "as the vehicle file says"
        else:
            sigma, source = setting("heat_common_sigma"), "by common practice"
        if state == "not-yet":
            said.append(f"Heating begins now, with {expected:.1f} kW {source}.")
        drive = max(drive, expected - heater)
        full = max(full, drive)
    if state == "interrupted":
        said.append(f"Heating has been off for {off_for:.0f} s; when it goes on is a guess.")
    if case.sources.origin != "measured" and state == "on":
        sigma = max(sigma, setting("heat_guess_sigma"))
    if supply == "lost":
        said.append(f"The supply has been lost for {lost_for:.0f} s; when it returns is a guess.")
    elif supply in ("none", "unknown"):
        said.append("A supply is plugged in.")
    elif supply == "there":
        said.append("The car stays plugged in.")
    if charging is not True:
        said.append("Charging is requested.")
    hottest = _hottest(recording, now_s)
    cabin = case.sources.cabin_kW
    cabin_kW = 0.0 if cabin is None else _recent(t, cabin, now_s)
    wants_cabin = _wanted(acts.wishes.cabin, now_s)
    cabin_on = cabin_kW > setting("on_kW") or bool(wants_cabin)
    pack = flows.flows.get("pack")
    pack_kW = 0.0 if pack is None else _recent(t, np.nan_to_num(pack.kW), now_s)
    low = flows.flows.get("low-voltage")
    base = setting("base_load_kW")
    if low is not None:
        base = _recent(t, np.nan_to_num(low.kW), now_s)
    busy = ceiling is not None and drawn > 0.93 * ceiling
    less = state == "on" and drive < setting("spared_share") * full
    shares = (
        busy and less and pack is not None and abs(pack_kW) < setting("shared_kW")
        and cabin_kW > setting("on_kW")
    )  # fmt: skip
    warm = hottest is not None and hottest > setting("spared_from_degC")
    spared = less and warm and not shares
    flow, still = _flow(case, limits, heating=state == "on")
    stopped = still < setting("stopped_share") * flow and not young
    if stopped:
        said.append("The coolant stands although there is heat: the pump may have failed.")
    return Situation(
        now_s, state, drive, heater, full, sigma,
        _wander(t, case.sources.total_kW, now_s), off_for, hottest, spared,
        _last(recording, names.CONDITIONING_TARGET, now_s), supply, lost_for, ceiling, drawn,
        vehicle.charger.efficiency or _efficiency(flows), shares, charging, cabin_on, cabin_kW,
        base, flow, still, stopped, _comfort(recording, now_s), tuple(said),
    )  # fmt: skip


def _efficiency(flows: Flows) -> float:
    supply, output = flows.flows.get("supply"), flows.flows.get("charger-output")
    if supply is None or output is None:
        return setting("efficiency")
    on = np.nan_to_num(supply.kW) > 1.0
    if on.sum() < 30:
        return setting("efficiency")
    return float(np.clip(np.nansum(output.kW[on]) / np.nansum(supply.kW[on]), 0.7, 1.0))
