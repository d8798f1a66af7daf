"""Weak coolant flow: the flow itself, or what it fails to carry; and a flow meter that errs.

A pump that weakens carries less for each kelvin between inlet and outlet. Where the meter shows
less and the heat over that difference stays, the meter is off.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from thawline.findings.case import Array, Case, Mask
from thawline.findings.finding import Checked, Figure, Finding, Unchecked
from thawline.findings.heat_path import FLOW, INLET, OUTLET, HeatPath
from thawline.findings.settings import setting
from thawline.findings.weigh import finding, step_at, usual
from thawline.story.story import Evidence

KIND, METER = "weak-coolant-flow", "coolant-sensor"
FLOWS, CARRIES = "log_flow", "log_carries"
#: Less flow than this counts as this [l/min].
LEAST = 0.1
#: Less heat per kelvin than this counts as this [kW/K].
TINY = 1e-3
#: The heat is level if it changed by less than this share for some minutes [1].
LEVEL = 0.12
#: Blocks on each side of a change of what is carried, for iron and coolant settle late [1].
SETTLES = 8
#: Where a flow is expected because heat must get to the pack.
NEEDED = "for heat to get to the pack"
#: Uncertainties of what the coolant carries over those of its flow [1].
LOOSE = 2.5


class _Drop(NamedTuple):
    """A fall of a logarithm: how sure, to what, from what, since which block, seen where."""

    z: float
    now: float
    expected: float
    at: int
    source: str


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
        Finding, if any, of a weak pump or of a flow meter that errs; figures ``log_flow`` and
        ``log_carries``.
    """
    coolant = np.where(np.isnan(path.inlet), path.bulk, path.inlet)
    back = setting("flow_per_K") * np.nan_to_num(coolant)
    seen = {CARRIES: carries(path) - back}
    if case.has(FLOW):
        seen[FLOWS] = _flows(path) - back
    seen = {name: v for name, v in seen.items() if np.count_nonzero(~np.isnan(v)) >= 5}
    name = FLOWS if case.has(FLOW) else CARRIES
    if name not in seen:
        return Checked(unchecked=(Unchecked(KIND, _missing(case, path)),))
    figures = {n: _figure(n, v, coolant) for n, v in seen.items()}
    drop = _dropped(case, path, name, seen[name], coolant)
    if name == FLOWS and drop is None:
        drop = _none(path)
    if drop is None:
        return Checked(figures=figures)
    arrives = name == FLOWS and _arrives(case, path, drop, seen.get(CARRIES))
    flowed = drop.source != NEEDED or np.any(path.is_heated & (path.flow > setting("flow_needed")))
    if arrives and not flowed:  # a heater in the pack itself needs no coolant
        return Checked(figures=figures)
    if arrives:
        return Checked((_meter(path, drop, figures[name].at),), figures=figures)
    return Checked((_found(path, drop, figures[name].at, name),), figures=figures)


def _missing(case: Case, path: HeatPath) -> str:
    if np.all(np.isnan(path.heat_kW)):
        return "no heat of drive units or heater"
    if not case.has(FLOW) and np.all(np.isnan(path.inlet - path.outlet)):
        return "no coolant flow, and no coolant temperatures before and behind the pack"
    return "the pack was not heated long enough"


def _flows(path: HeatPath) -> Array:
    heated = path.is_heated.copy()
    heated[1:] &= path.is_heated[:-1]
    return np.where(heated, np.log(np.maximum(path.flow, LEAST)), np.nan)


def carries(path: HeatPath) -> Array:
    """Give what the coolant carries for each kelvin, where the heat was level for minutes.

    Parameters
    ----------
    path : HeatPath
        The heat path.

    Returns
    -------
    ndarray of float64, shape (n,)
        Logarithm of heat over the coolant's difference in kW/K; NaN elsewhere [1].
    """
    apart = path.inlet - path.outlet
    each = path.heat_kW / np.where(apart > 0.5, apart, np.nan)
    level = path.is_steady.copy()
    for back in range(1, 9):
        before = path.heat_kW[:-back] / np.maximum(path.heat_kW[back:], 1e-6)
        level[back:] &= np.abs(np.nan_to_num(before) - 1.0) < LEVEL
        level[:back] = False
    return np.where(level, np.log(np.maximum(each, TINY)), np.nan)


def _figure(name: str, value: Array, coolant: Array) -> Figure:
    known = ~np.isnan(value)
    loose = 1.0 if name == FLOWS else LOOSE
    degC = float(np.nanmedian(coolant[known]))
    return Figure(float(np.median(value[known])), 0.02 * loose, "1", degC)


def _dropped(case: Case, path: HeatPath, name: str, value: Array, coolant: Array) -> _Drop | None:
    known = ~np.isnan(value)
    loose = 1.0 if name == FLOWS else LOOSE
    degC = float(np.nanmedian(coolant[known]))
    coarse = 0.0 if name == FLOWS else _coarse(case, path, known)
    best: _Drop | None = None
    touched = (KIND, METER, "heat-lost-outside")
    past = usual(case.before(name, touched), setting("flow_sigma") * loose)
    if past is not None:
        late = value[known][len(value[known]) // 2 :]
        now = min(float(np.median(value[known])), float(np.median(late)))
        warm = setting("flow_per_K_sigma") * (degC - past.at)
        z = (past.value - now) / float(np.sqrt(past.sigma**2 + warm**2 + coarse**2))
        source = f"from {past.mornings} earlier mornings"
        low = np.flatnonzero(known & (value < 0.5 * (now + past.value)))
        begins = int(low[0]) if len(low) else int(np.flatnonzero(known)[0])
        best = _Drop(z, now, past.value, begins, source)
    step = step_at(value, 3 if name == FLOWS else SETTLES)
    if step is not None and _like_heat(path, known, step[0]):
        at, before, after, spread = step
        warm = setting("flow_per_K_sigma") * float(np.ptp(coolant[known & ~np.isnan(coolant)]))
        sigma = np.hypot(np.hypot(setting("flow_step_sigma") * loose, spread), 0.5 * warm)
        z = float((before - after) / np.hypot(sigma, coarse))
        if best is None or z > best.z or best.expected - best.now < setting("flow_gone"):
            best = _Drop(z, after, before, at, "earlier that morning")
    if best is None or best.z < setting("z"):
        return None
    return best if best.expected - best.now >= setting("flow_gone") * loose else None


def _coarse(case: Case, path: HeatPath, known: Mask) -> float:
    """Tell how unsure coarse thermometers leave what the coolant carries, as a logarithm."""
    apart = float(np.median((path.inlet - path.outlet)[known]))
    step = max(case.recording.channels[p].resolution for p in (INLET, OUTLET))
    return float(setting("flow_coarse") * step / max(apart, 1e-6))


def _like_heat(path: HeatPath, known: Mask, at: int) -> bool:
    """Tell whether as much heat was wanted after an instant: pumps follow what is wanted."""
    after = np.arange(len(known)) >= at
    was, now = (float(np.median(path.heat_kW[known & part])) for part in (~after, after))
    return now > setting("heat_alike") * was


def _none(path: HeatPath) -> _Drop | None:
    """Find heat for minutes while nothing flows: no car does that by design."""
    still = path.is_steady & (path.flow < setting("flow_none"))
    held = np.flatnonzero(np.convolve(still, np.ones(4), mode="valid") >= 4.0)
    if not len(held):
        return None
    flow = float(np.nanmedian(path.flow[still]))
    back = setting("flow_per_K") * float(np.nanmedian(np.where(still, path.bulk, np.nan)))
    now = float(np.log(max(flow, LEAST))) - back
    least = float(np.log(setting("flow_needed"))) - back
    return _Drop(2.0 * setting("z"), now, least, int(held[0]), NEEDED)


def _arrives(case: Case, path: HeatPath, drop: _Drop, each: Array | None) -> bool:
    """Tell whether the heat goes on arriving as if the coolant flowed as before."""
    fallen = drop.expected - drop.now
    late = path.is_steady & (np.arange(len(path.t)) >= drop.at)
    heated = np.flatnonzero(late & (path.flow < setting("flow_none")))
    if len(heated) and np.nanmedian(path.flow[heated]) <= LEAST:
        # coolant that stands has no temperature to go by: the pack's own must rise
        rises = float(np.nanmax(path.bulk[heated]) - path.bulk[heated[0]])
        return len(heated) >= 8 and rises > setting("stuck_moves_K")
    if each is None:
        return False
    after = each[drop.at :][~np.isnan(each[drop.at :])]
    before = each[: drop.at][~np.isnan(each[: drop.at])]
    if drop.source.startswith("from"):
        past = usual(case.before(CARRIES, (KIND, METER)), setting("flow_sigma") * LOOSE)
        before = np.array([] if past is None else [past.value])
    if len(after) < 3 or not len(before):
        return False
    return abs(float(np.median(before) - np.median(after))) < 0.4 * fallen


def _meter(path: HeatPath, drop: _Drop, degC: float) -> Finding:
    back = setting("flow_per_K") * degC
    seen, wanted = float(np.exp(drop.now + back)), float(np.exp(drop.expected + back))
    because = (
        f"The flow meter shows {seen:.2g} l/min where {wanted:.2g} l/min are expected "
        f"{drop.source}, yet the coolant brings the pack as much heat for each kelvin as before: "
        "the meter is off, the coolant flows."
    )
    when = float(path.t[drop.at])
    return finding(METER, when, drop.z, because, [Evidence(FLOW, seen, "l/min", wanted, when)])


def _found(path: HeatPath, drop: _Drop, degC: float, name: str) -> Finding:
    share = float(np.exp(drop.now - drop.expected))
    back = setting("flow_per_K") * degC
    is_flow = name == FLOWS
    unit = "l/min" if is_flow else "kW/K"
    what = "The coolant's flow" if is_flow else "What the coolant carries per kelvin"
    seen, wanted = float(np.exp(drop.now + back)), float(np.exp(drop.expected + back))
    apart = (path.inlet - path.outlet)[path.is_steady & (path.t >= path.t[drop.at])]
    hot = ""
    if np.any(~np.isnan(apart)) and np.nanmedian(apart) > 0.0:
        hot = f" It cools by {np.nanmedian(apart):.1f} K in the pack."
    because = (
        f"{what} is {seen:.2g} {unit} while the pack is heated, {share:.0%} of the {wanted:.2g} "
        f"{unit} expected {drop.source}.{hot}"
    )
    signal = FLOW if is_flow else "heat over coolant difference"
    when = float(path.t[drop.at])
    return finding(KIND, when, drop.z, because, [Evidence(signal, seen, unit, wanted, when)])
