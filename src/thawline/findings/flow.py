"""Weak coolant flow: the flow itself, or what it fails to carry."""

from __future__ import annotations

import numpy as np

from thawline.findings.case import Array, Case
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.heat_path import FLOW, HeatPath
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, step_at, usual
from thawline.story.story import Evidence

KIND = "weak-coolant-flow"
FLOWS, CARRIES = "log_flow", "log_carries"
#: Less flow than this counts as this [l/min].
LEAST = 0.1
#: Less heat per kelvin than this counts as this [kW/K].
TINY = 1e-3
#: The heat is level if it changed by less than this share for some minutes [1].
LEVEL = 0.12


def check_flow(case: Case, path: HeatPath) -> Checked:
    """Check the coolant's flow while the pack is heated.

    Parameters
    ----------
    case : Case
        The recording.
    path : HeatPath
        Its heat path.

    Returns
    -------
    Checked
        Finding, if any; figure ``log_flow`` or, without a flow meter, ``log_carries``.
    """
    coolant = np.where(np.isnan(path.inlet), path.bulk, path.inlet)
    if case.has(FLOW):
        heated = path.is_heated.copy()
        heated[1:] &= path.is_heated[:-1]
        value = np.where(heated, np.log(np.maximum(path.flow, LEAST)), np.nan)
        name = FLOWS
    else:
        apart = path.inlet - path.outlet
        carries = path.heat_kW / np.where(apart > 0.5, apart, np.nan)
        level = path.is_steady.copy()
        for back in range(1, 9):
            before = path.heat_kW[:-back] / np.maximum(path.heat_kW[back:], 1e-6)
            level[back:] &= np.abs(np.nan_to_num(before) - 1.0) < LEVEL
            level[:back] = False
        value = np.where(level, np.log(np.maximum(carries, TINY)), np.nan)
        name = CARRIES
    if np.count_nonzero(~np.isnan(value)) < 5:
        missing = "the pack was not heated long enough"
        if not case.has(FLOW) and np.all(np.isnan(path.inlet - path.outlet)):
            missing = "no coolant flow, and no coolant temperatures before and behind the pack"
        elif np.all(np.isnan(path.heat_kW)):
            missing = "no heat of drive units or heater"
        return Checked(unchecked=(Unchecked(KIND, missing),))
    value = value - setting("flow_per_K") * np.nan_to_num(coolant)
    return _judged(case, path, value, coolant, name)


def _judged(case: Case, path: HeatPath, value: Array, coolant: Array, name: str) -> Checked:
    known = ~np.isnan(value)
    middle, degC = float(np.median(value[known])), float(np.nanmedian(coolant[known]))
    loose = 1.0 if name == FLOWS else 2.5
    figures = {name: Figure(middle, 0.02 * loose, "1", degC)}
    scatter = setting("flow_sigma") * loose
    past = usual(case.before(name, (KIND, "coolant-sensor", "heat-lost-outside")), scatter)
    best: tuple[float, float, float, float, str] | None = None
    if past is not None:
        late = value[known][len(value[known]) // 2 :]
        now = min(middle, float(np.median(late)))
        warm = setting("flow_per_K_sigma") * (degC - past.at)
        z = (past.value - now) / float(np.hypot(past.sigma, warm))
        source = f"from {past.mornings} earlier mornings"
        best = (z, now, past.value, float(path.t[known][0]), source)
    step = step_at(value, 3)
    if step is not None:
        at, before, after, spread = step
        warm = setting("flow_per_K_sigma") * float(np.ptp(coolant[known & ~np.isnan(coolant)]))
        sigma = np.hypot(np.hypot(setting("flow_step_sigma") * loose, spread), 0.5 * warm)
        z = float((before - after) / sigma)
        if best is None or z > best[0] or best[2] - best[1] < setting("flow_gone"):
            best = (z, after, before, float(path.t[at]), "earlier that morning")
    if best is None or best[0] < setting("z") or best[2] - best[1] < setting("flow_gone") * loose:
        return Checked(figures=figures)
    return Checked((_found(path, best, degC, name),), figures=figures)


def _found(
    path: HeatPath, best: tuple[float, float, float, float, str], degC: float, name: str
) -> Finding:
    z, now, expected, when_s, source = best
    share = float(np.exp(now - expected))
    back = setting("flow_per_K") * degC
    is_flow = name == FLOWS
    unit = "l/min" if is_flow else "kW/K"
    what = "The coolant's flow" if is_flow else "What the coolant carries per kelvin"
    seen, wanted = float(np.exp(now + back)), float(np.exp(expected + back))
    apart = path.inlet - path.outlet
    hot = ""
    if np.any(~np.isnan(apart[path.is_steady])):
        hot = f" It cools by {np.nanmedian(apart[path.is_steady]):.1f} K in the pack."
    because = (
        f"{what} is {seen:.2g} {unit} while the pack is heated, {share:.0%} of the {wanted:.2g} "
        f"{unit} expected {source}.{hot}"
    )
    signal = FLOW if is_flow else "heat over coolant difference"
    return finding(KIND, when_s, z, because, [Evidence(signal, seen, unit, wanted, when_s)])
