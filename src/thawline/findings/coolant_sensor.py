"""A coolant thermometer that is stuck, jumped, or disagrees with the others."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case, blocks
from thawline.findings.finding import Checked, Finding, Unchecked
from thawline.findings.heat_path import AIR, INLET, OUTLET, HeatPath
from thawline.findings.outside import NOTHING, Told
from thawline.findings.settings import setting
from thawline.findings.stuck import Stuck, stuck
from thawline.findings.weigh import finding
from thawline.recording.powers import BATTERY
from thawline.story.names import short
from thawline.story.story import Evidence

KIND = "coolant-sensor"
COLDEST = BATTERY + "Temperature.Min"
#: A jump is looked for over so long to each side [s]; what moves slower is no jump.
SIDE_S = 16


def check_coolant_sensor(case: Case, path: HeatPath, told: Told = NOTHING) -> Checked:
    """Check the coolant's thermometers before and behind the pack.

    Parameters
    ----------
    case : Case
        The recording.
    path : HeatPath
        Its heat path.
    told : Told
        What the heat balance says of valve, jump and drift.

    Returns
    -------
    Checked
        Finding, if any.
    """
    here = [p for p in (INLET, OUTLET) if case.has(p)]
    if not here:
        return Checked(unchecked=(Unchecked(KIND, "no coolant temperature at the pack"),))
    for one in here:
        other = OUTLET if one == INLET else INLET
        found = _stands(case, path, one, other)
        if found is None and told.valve_leads < setting("clear_lead"):
            found = _jumped(case, one, other)
        if found is None:
            found = _soaked(case, one)
        if found is not None:
            return Checked((found,))
    found = _order(case, path) or _drifted(path, told)
    return Checked(() if found is None else (found,))


def _stands(case: Case, path: HeatPath, one: str, other: str) -> Finding | None:
    width = int(setting("block_s"))
    mine = blocks(case.lay(one), width)
    rest = [blocks(case.lay(p), width) for p in (other,) if case.has(p)]
    rest += [path.bulk] if not rest and case.bulk() else []
    flows = np.where(np.isnan(path.flow), True, path.flow > 1.0) & path.is_heated
    if not rest:
        return None
    channel = case.recording.channels[one]
    still = max(0.35, 1.5 * channel.resolution)
    found: Stuck | None = stuck(
        np.where(flows, mine, np.nan), np.where(flows, rest[0], np.nan), still
    )
    if found is None or not _is_stuck(case, path, one, mine, found):
        return None
    when = float(path.t[found.at])
    because = (
        f"{short(one)} stays at {found.value:.1f} °C for {found.blocks * width / 60.0:.0f} min of "
        f"heating while what is beside it moves by {found.others:.1f} K."
    )
    evidence = [Evidence(one, found.value, "degC", found.value + found.others, when)]
    return finding(KIND, when, setting("z") + abs(found.others), because, evidence)


def _is_stuck(case: Case, path: HeatPath, one: str, mine: Array, found: Stuck) -> bool:
    """Tell a sensor that stands from coolant that has left its heat in a pack still cold."""
    if found.others < 0.0:  # heat was taken back: what is hotter falls, and the rest need not
        return False
    part = slice(found.at, found.at + found.blocks)
    coldest = blocks(case.lay(COLDEST), int(setting("block_s")))[part]
    coldest = coldest[~np.isnan(coldest)]
    if one == OUTLET and len(coldest) and np.ptp(coldest) < setting("outlet_follows_K"):
        return False
    before = mine[: found.at][~np.isnan(mine[: found.at])]
    if len(before) > 0 and abs(float(before[0]) - found.value) > 1.0 + np.ptp(before) / 10.0:
        return True
    bulk = path.bulk[part][~np.isnan(path.bulk[part])]
    moved = abs(float(bulk[-1] - bulk[0])) if len(bulk) else 0.0
    long = found.blocks * setting("block_s") > 1.6 * setting("stuck_s")
    return moved > setting("stuck_moves_K") and (long or abs(found.others) > 15.0)


def _drifted(path: HeatPath, told: Told) -> Finding | None:
    """Tell a slow drift that the heat balance shows better than a valve or a jump."""
    if not told.is_drift:
        return None
    way = "more" if told.drift_K > 0.0 else "less"
    because = (
        f"Between inlet and outlet the coolant seems to cool by {abs(told.drift_K):.1f} K {way} "
        "than the heat and the flow lead to, growing with time: one of the two thermometers drifts."
    )
    when = float(path.t[told.drift_at])
    evidence = [Evidence("coolant inlet less outlet", told.drift_K, "K", 0.0, when)]
    return finding(KIND, when, float(np.sqrt(2.0 * told.drift_gain)), because, evidence)


def _smooth(values: Array, width: int) -> Array:
    known = np.isnan(values)
    kernel = np.ones(width) / width
    mean = np.convolve(np.where(known, 0.0, values), kernel, mode="same")
    return np.where(np.convolve(known, kernel, mode="same") > 1e-9, np.nan, mean)


def _jumped(case: Case, one: str, other: str) -> Finding | None:
    """Find a jump that is faster than coolant can change while heat and flow go on."""
    raw = _smooth(case.lay(one), 5)
    n = SIDE_S
    if len(raw) < 12 * n:
        return None
    slope_before = np.full(len(raw), np.nan)
    slope_after, change = slope_before.copy(), slope_before.copy()
    i = np.arange(3 * n, len(raw) - 3 * n)
    change[i] = raw[i + n] - raw[i - n]
    slope_before[i] = (raw[i - n] - raw[i - 3 * n]) / (2 * n)
    slope_after[i] = (raw[i + 3 * n] - raw[i + n]) / (2 * n)
    rest = change - (slope_before + slope_after) * n
    calm = np.maximum(np.abs(slope_before), np.abs(slope_after)) * 2 * n
    quiet = _quiet(case) & (np.abs(rest) > 1.5 * calm)
    if case.has(other):
        beside = _smooth(case.lay(other), 5)
        there = np.full(len(raw), np.nan)
        there[i] = beside[i + n] - beside[i - n]
        quiet &= ~(np.abs(there) > 0.4 * np.abs(rest))
        if not case.has(BATTERY + "Coolant.Flow"):  # a weaker pump parts inlet and outlet
            quiet &= ~((there * rest < 0.0) & (np.abs(there) > 0.12 * np.abs(rest)))
    channel = case.recording.channels[one]
    sigma = float(np.hypot(channel.noise, channel.resolution / 3.5)) + 0.15
    score = np.where(quiet & ~np.isnan(rest), np.abs(rest), 0.0)
    at = int(np.argmax(score))
    if score[at] < max(setting("jump_K"), 5.0 * sigma):
        return None
    when = float(case.t[at])
    value = float(raw[at + n])
    because = (
        f"{short(one)} jumped by {rest[at]:+.1f} K within half a minute, while heat and flow went "
        "on and nothing beside it followed; coolant does not change so fast."
    )
    evidence = [Evidence(one, value, "degC", value - float(rest[at]), when)]
    return finding(KIND, when, float(score[at]) / sigma, because, evidence)


def _quiet(case: Case) -> np.ndarray:
    """Tell where heat, flow and motion have not changed for some minutes."""
    moved = ~case.standing()
    if not case.has(BATTERY + "Coolant.Flow") and np.all(np.isnan(case.heat_kW())):
        return np.zeros(len(case.t), dtype=bool)
    heat = np.nan_to_num(case.heat_kW())
    moved |= np.abs(heat - np.concatenate((heat[:30], heat[:-30]))[: len(heat)]) > 0.4
    if case.has(BATTERY + "Coolant.Flow"):
        flow = np.nan_to_num(case.lay(BATTERY + "Coolant.Flow"))
        moved |= np.abs(flow - np.concatenate((flow[:30], flow[:-30]))[: len(flow)]) > 0.8
    else:  # a pump that nobody sees runs while the pack is heated
        moved |= heat < setting("heat_least_kW")
    width = 361
    near = np.convolve(moved.astype(np.float64), np.ones(width), mode="full")
    return np.asarray(near[30 : len(moved) + 30] < 0.5)


def _soaked(case: Case, one: str) -> Finding | None:
    """Hold a sensor against all others after a night's rest."""
    others = [BATTERY + f"Temperature.{w}" for w in ("Average", "Max", "Min")]
    others += [p for p in (INLET, OUTLET) if p != one]
    if sum(case.has(p) for p in others) < 3:  # air has taken the night's temperature as well
        others += AIR
    first = 40
    own = case.lay(one)[:first]
    mine = float(np.nanmedian(own)) if np.any(~np.isnan(own)) else np.nan
    seen = []
    for path in others:
        values = case.lay(path)[:first]
        if np.any(~np.isnan(values)):
            seen.append(float(np.nanmedian(values)))
    heat = case.heat_kW()[:first]
    if np.isnan(mine) or len(seen) < 3 or np.nanmax(np.nan_to_num(heat)) > 0.3:
        return None
    middle = float(np.median(seen))
    windings = [float(np.nanmedian(v)) for p in case.windings()
                if np.any(~np.isnan(v := case.lay(p)[:first]))]  # fmt: skip
    if np.ptp(seen) > 2.0 * setting("soak_agrees_K") or any(
        abs(w - middle) > 4.0 for w in windings
    ):
        return None
    off = float(mine) - middle
    sigma = float(np.hypot(case.sigma(one), 0.35))
    if abs(off) < setting("soak_K") or abs(off) / sigma < setting("z"):
        return None
    because = (
        f"After a night's rest {short(one)} shows {mine:.1f} °C where {len(seen)} others agree on "
        f"{middle:.1f} °C."
    )
    evidence = [Evidence(one, float(mine), "degC", middle, 0.0)]
    return finding(KIND, 0.0, abs(off) / sigma, because, evidence)


def _order(case: Case, path: HeatPath) -> Finding | None:
    """Hold inlet against outlet: while the pack is heated, coolant comes in the warmer."""
    if not (case.has(INLET) and case.has(OUTLET)):
        return None
    wrong = path.is_steady & (path.outlet - path.inlet > setting("order_K"))
    wrong &= np.where(np.isnan(path.flow), True, path.flow > 1.0)
    if np.count_nonzero(wrong) < 4:
        return None
    at = int(np.flatnonzero(wrong)[0])
    apart = float(np.nanmedian((path.outlet - path.inlet)[wrong]))
    sigma = float(np.hypot(case.sigma(INLET), case.sigma(OUTLET)))
    when = float(path.t[at])
    because = (
        f"Coolant seems to leave the pack {apart:.1f} K warmer than it came in, while it heats the "
        "pack: one of the two thermometers is off."
    )
    evidence = [Evidence(OUTLET, float(path.outlet[at]), "degC", float(path.inlet[at]), when)]
    return finding(KIND, when, max(apart / sigma, setting("z")), because, evidence)
