"""Charging refused although the cells are warm enough for it."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case
from thawline.findings.finding import Checked, Figure, Unchecked
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, usual
from thawline.recording.powers import BATTERY, CHARGING, paths_like
from thawline.story.story import Evidence

KIND = "charging-refused-warm"
NAME = "charging_from_degC"
COLDEST, LIMIT = BATTERY + "Temperature.Min", BATTERY + "Limits.ChargePower"
WANTED, GOAL = CHARGING + "IsRequested", CHARGING + "ChargeLimit"


def check_refused(case: Case) -> Checked:
    """Check whether charging was refused although the coldest cell was warm.

    Parameters
    ----------
    case : Case
        The recording.

    Returns
    -------
    Checked
        Finding, if any; figure ``charging_from_degC``.
    """
    if not case.has(COLDEST):
        return Checked(unchecked=(Unchecked(KIND, "no temperature of the coldest cell"),))
    if not case.has(LIMIT) and not case.has(WANTED):
        return Checked(unchecked=(Unchecked(KIND, "neither limit nor request of charging"),))
    coldest = case.lay(COLDEST)
    nothing, live = _refuses(case)
    figures = _begins(case, coldest, nothing)
    past = usual(case.before(NAME, (KIND, "coldest-cell-sensor")), setting("refused_sigma_K"))
    stated = case.recording.vehicle.limits.charging_from_degC
    expected = past.value if past is not None else (0.0 if stated is None else stated)
    expected = max(expected, -2.0)
    warm = coldest > expected + setting("refused_margin_K")
    refused = nothing & live & warm & case.standing()
    width = int(setting("refused_s"))
    held = np.flatnonzero(np.convolve(refused, np.ones(width), mode="valid") >= 0.95 * width)
    if not len(held):
        return Checked(figures=figures)
    at = int(held[0])
    most = float(np.nanmax(np.where(refused, coldest, np.nan)))
    sigma = float(np.hypot(case.sigma(COLDEST), setting("refused_sigma_K")))
    because = (
        f"Charging is asked for and nothing is allowed, although the coldest cell is at "
        f"{most:.1f} °C; it should begin at about {expected:.1f} °C."
    )
    evidence = [Evidence(COLDEST, most, "degC", expected, float(case.t[at]))]
    if case.has(LIMIT):
        evidence.append(Evidence(LIMIT, 0.0, "kW", None, float(case.t[at])))
    z = setting("z") + (most - expected - setting("refused_margin_K")) / sigma
    found = finding(KIND, float(case.t[at]), z, because, evidence)
    return Checked((found,), figures=figures)


def _refuses(case: Case) -> tuple[np.ndarray, np.ndarray]:
    """Tell where nothing is allowed, and where a supply waits with charging asked for."""
    least = setting("refused_share")
    supply = case.kW("supply")
    volts = [case.lay(p) for p in paths_like(case.recording, CHARGING + "ChargeVoltage.Phase", "")]
    live = np.nan_to_num(supply) > least
    if volts:
        live |= np.nan_to_num(np.max(volts, axis=0)) > setting("volts_there_V")
    if not volts and "supply" not in case.flows.flows:
        live = np.ones(len(case.t), dtype=bool)
    wanted = case.lay(WANTED) > 0.5 if case.has(WANTED) else live
    if case.has(LIMIT):
        nothing = case.lay(LIMIT) < least
    else:
        output = case.kW("charger-output")
        other = setting("refused_other_kW")
        idle = ~(case.heat_kW() > other) & ~(case.kW("cabin-heating") > other)
        nothing = (case.kW("pack") < least) & idle & ~(output > 5.0 * other)
    charge = _first(case, ("StateOfCharge.Current", "StateOfCharge.Displayed"))
    goal = case.lay(GOAL) if case.has(GOAL) else np.full(len(case.t), np.nan)
    room = ~(
        charge
        > np.where(np.isnan(goal), setting("maybe_full_pct"), goal - setting("goal_near_pct"))
    )
    room &= ~(charge > setting("full_pct"))
    if np.all(np.isnan(charge)) and case.has(LIMIT):
        # how full the pack is is not known: what was allowed before may have filled it
        room &= np.cumsum(np.nan_to_num(case.lay(LIMIT)) > least) < setting("refused_s")
    return np.asarray(nothing & room), np.asarray(live & wanted)


def _first(case: Case, names: tuple[str, ...]) -> Array:
    for name in names:
        if case.has(BATTERY + name):
            return case.lay(BATTERY + name)
    return np.full(len(case.t), np.nan)


def _begins(case: Case, coldest: Array, nothing: np.ndarray) -> dict[str, Figure]:
    if not case.has(LIMIT):
        return {}
    limit = case.lay(LIMIT)
    allowed = np.flatnonzero(limit > setting("refused_share"))
    if not len(allowed) or allowed[0] < 30 or not nothing[: allowed[0]].any():
        return {}
    at = coldest[allowed[0]]
    return {} if np.isnan(at) else {NAME: Figure(float(at), case.sigma(COLDEST), "degC")}
