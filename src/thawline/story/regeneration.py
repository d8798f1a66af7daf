"""Regeneration: when the limit leaves zero, or at the latest when power flows back."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.story import names
from thawline.story.figures import capital, degrees, kilowatt, lasting, moment
from thawline.story.gates import Gate, cell_name, coldest, coldest_path
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, Span, TurningPoint
from thawline.story.stretch import ROOT_12, Edge
from thawline.story.stretches import Rule, stretches, two_states
from thawline.story.switching import spans_of
from thawline.story.thresholds import threshold
from thawline.story.told import Told, mean_over, seen, silent, turning

#: The limit is quoted as it stood this long after it left zero [s].
LATER_S = 60.0
#: Braking tells by signals that come at least so often [s], from so many brakings on [1] that
#: last so long [s], the last of them so long before power flows back [s].
SLOW_S, FEWEST_BRAKINGS, FIRM_S, APART_S = 2.0, 2, 3.0, 10.0


def _why_limit(scene: Scene, gate: Gate, t_s: float) -> tuple[str, tuple[Evidence, ...]]:
    path, cell = coldest_path(scene), coldest(scene, t_s)
    limit = seen(scene, gate.path, t_s + LATER_S, 0.0)
    to = f" and stood at {kilowatt(limit[0].value)} {lasting(LATER_S)} later" if limit else ""
    if path is None or cell is None:
        text = (
            f"The regeneration limit left zero{to}; no temperature of the pack is known then "
            "(TractionBattery.Temperature.Min would tell why)."
        )
        return text, limit
    evidence = (*seen(scene, path, t_s, gate.from_degC), *limit)
    if abs(cell - gate.from_degC) <= threshold("learned_within_K"):
        expected = (
            ""
            if gate.origin == "seen"
            else f" (expected at {degrees(gate.from_degC)}, {gate.source})"
        )
        who = capital(cell_name(scene))
        text = f"{who} reached {degrees(cell)}{expected}: the limit left zero{to}."
        return text, evidence
    text = (
        f"The regeneration limit left zero{to} with {cell_name(scene)} at {degrees(cell)}; no "
        "signal says what had held it."
    )
    return text, evidence


def _by_limit(scene: Scene, gate: Gate) -> Told:
    points: list[TurningPoint] = []
    spans: list[Span] = []
    lost: list[Lost] = []
    limit = scene.signals[gate.path]
    for stretch in gate.open or ():
        if stretch.begins is not None:
            text, evidence = _why_limit(scene, gate, stretch.begins.seen_s)
            points += turning("regeneration-returns", stretch.begins, text, evidence)
            lost += silent("regeneration-returns", stretch.begins)
        highest = float(np.nanmax(limit[stretch.first : stretch.last + 1]))
        text = f"Up to {kilowatt(highest)} of regeneration was allowed."
        spans.extend(spans_of(scene, "regeneration", stretch, limit, text))
    return Told(tuple(points), tuple(spans), tuple(lost))


def regenerated(scene: Scene) -> tuple[NDArray[np.float64], str] | None:
    """Find the power that flows back while the car moves.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    tuple of ndarray of float64, shape (n,) and str or None
        The power, never negative [kW], and the name of the flow; None if nothing tells.
    """
    speed = scene.signal(names.SPEED)
    driving, pack = scene.flow("driving"), scene.flow("pack")
    if driving is not None:
        return np.maximum(-driving.kW, 0.0), "driving"
    if pack is None or speed is None:
        return None
    moving = np.abs(speed) > threshold("drive_on_km_per_h")
    return np.where(moving, np.maximum(pack.kW, 0.0), 0.0 * pack.kW), "pack"


def _braked_without(
    scene: Scene, power: NDArray[np.float64], name: str, before: int
) -> float | None:
    """Find the last of several firm brakings without power flowing back, before a tick [s].

    One alone, or one that slow signals show, may be the friction brakes' own affair.
    """
    speed, flow = scene.signal(names.SPEED), scene.flow(name)
    if speed is None or flow is None or before < 3:
        return None
    if scene.period_s((names.SPEED, *flow.signals)) > SLOW_S:
        return None
    slowing = -np.gradient(speed[:before], scene.step_s)
    firm = (np.nan_to_num(slowing) > threshold("braking_km_per_h_per_s")) & (
        np.nan_to_num(power[:before]) < threshold("power_on_kW")
    )
    # in town speed the blending fades out near standstill; look above a brisk walk
    firm &= np.nan_to_num(speed[:before]) > 15.0
    turns = np.flatnonzero(np.diff(np.concatenate(([0], firm.astype(np.int8), [0]))))
    runs = [
        (int(first), int(after) - 1)
        for first, after in zip(turns[::2], turns[1::2], strict=True)
        if (after - first) * scene.step_s >= FIRM_S and (before - after) * scene.step_s >= APART_S
    ]
    return float(scene.t[runs[-1][1]]) if len(runs) >= FEWEST_BRAKINGS else None


def _last_cold(scene: Scene, gate: Gate, before: int) -> float:
    """Find when the coldest cell was last below where regeneration is allowed [s]."""
    path = coldest_path(scene)
    if path is None:
        return 0.0
    cold = np.flatnonzero(np.nan_to_num(scene.signals[path][:before], nan=np.inf) < gate.from_degC)
    return float(scene.t[cold[-1]]) if len(cold) else 0.0


def _by_power(scene: Scene, gate: Gate) -> Told:
    cure = "map TractionBattery.Limits.RegenerationPower"
    found = regenerated(scene)
    if found is None:
        because = "neither a limit nor power flowing back is recorded."
        return Told(lost=(Lost("regeneration", because, cure),))
    power, name = found
    because = (
        "no limit of regeneration is recorded; its return is told at the latest, when power "
        "first flows back in a drive."
    )
    lost = [Lost("regeneration-returns", because, cure)]
    band_kW = 4.0 * threshold("power_on_kW")
    state = two_states(power, band_kW, threshold("off_share") * band_kW)
    rule = Rule(2.0, 15.0, 2.0)
    spans: list[Span] = []
    points: list[TurningPoint] = []
    for number, stretch in enumerate(stretches(scene.t, scene.step_s, state, rule)):
        text = "Power flowed back into the pack while the car braked."
        spans.extend(spans_of(scene, "regeneration", stretch, power, text))
        if number or stretch.begins is None:
            continue
        since = _braked_without(scene, power, name, stretch.first)
        cell, path = coldest(scene, 0.0), coldest_path(scene)
        was_cold = cell is not None and cell < gate.from_degC
        if since is None and not was_cold:
            continue  # nothing shows that it had ever been away
        at = stretch.begins
        earliest = since if since is not None else _last_cold(scene, gate, stretch.first)
        now = coldest(scene, at.t_s)
        cell_now = "" if now is None else f", with {cell_name(scene)} at {degrees(now)}"
        level = mean_over(power, stretch.first, stretch.last) or 0.0
        text = (
            f"At the latest here: {kilowatt(level)} flowed back{cell_now}; "
            + (
                f"the car had braked without it until {moment(since)}"
                if since is not None
                else f"{cell_name(scene)} had been below {gate.wording('it')} before"
            )
            + ". No limit is recorded, so it may have returned earlier."
        )
        evidence = (
            Evidence(name, level, "kW", band_kW, at.t_s),
            *(seen(scene, path, at.t_s, gate.from_degC) if path else ()),
        )
        late = Edge(at.t_s, max(at.t_s - earliest, scene.step_s) / ROOT_12)
        if late.plus_minus_s <= threshold("told_within_s"):
            points += turning("regeneration-returns", late, text, evidence)
        else:  # too wide to be a moment
            lost[0] = Lost(
                "regeneration-returns",
                f"no limit of regeneration is recorded. It returned between {moment(earliest)} "
                f"and {moment(at.t_s)}, when {kilowatt(level)} first flowed back{cell_now}.",
                cure,
            )
    return Told(tuple(points), tuple(spans), tuple(lost))


def tell_regeneration(scene: Scene, gate: Gate) -> Told:
    """Tell the lane of regeneration.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    gate : Gate
        The limit of regenerative power.

    Returns
    -------
    Told
        Spans and turning points.
    """
    if gate.open is None:
        return _by_power(scene, gate)
    return _by_limit(scene, gate)
