"""The cabin: when it was conditioned, and when it became comfortable."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.story import names
from thawline.story.crossing import too_near, undecided, upward_crossings
from thawline.story.figures import degrees, kilowatt, lasting
from thawline.story.requests import Wishes
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, Span, TurningPoint
from thawline.story.stretch import Stretch
from thawline.story.stretches import OFF, ON, UNKNOWN, Rule, stretches, two_states
from thawline.story.supply import any_on
from thawline.story.switching import power_band, spans_of
from thawline.story.thresholds import threshold
from thawline.story.told import Told, mean_over, silent, turning


def conditioned(scene: Scene) -> tuple[tuple[Stretch, ...], NDArray[np.float64] | None]:
    """Find when the cabin was conditioned, or wanted to be.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    tuple of Stretch
        When.
    ndarray of float64 or None
        Power of heaters and compressor on the clock [kW].
    """
    flow = scene.flow("cabin-heating")
    parts = []
    if flow is not None:
        band = power_band(scene, flow, threshold("power_on_kW"))
        parts.append(two_states(flow.kW, band.on_above, band.off_below))
    wanted = any_on(scene, [names.CABIN_WANTED] if names.CABIN_WANTED in scene.signals else [])
    if wanted is not None:
        parts.append(wanted)
    if not parts:
        return (), None
    stacked = np.stack(parts)
    on, known = (stacked == ON).any(axis=0), (stacked != UNKNOWN).any(axis=0)
    state = np.where(on, ON, np.where(known, OFF, UNKNOWN)).astype(np.int8)
    rule = Rule(
        threshold("heating_blip_s"), threshold("cabin_bridge_s"), threshold("cabin_least_s")
    )
    return stretches(scene.t, scene.step_s, state, rule), None if flow is None else flow.kW


def comfortable_from(scene: Scene, t_s: float) -> tuple[float, str]:
    """Find the cabin air that counts as comfortable.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    t_s : float
        When [s].

    Returns
    -------
    tuple of float and str
        The temperature [degC], and who says so.
    """
    stated = scene.recording.vehicle.cabin.comfortable_from_degC
    if stated is not None:
        return stated, "as the vehicle file says"
    target = scene.value(names.CABIN_TARGET, t_s)
    if target is not None:
        below = threshold("below_target_K")
        return target - below, f"{below:.0f} K below the {degrees(target)} asked for"
    return threshold("comfortable_degC"), "an assumption: neither vehicle file nor target says"


def _comfort(
    scene: Scene, found: tuple[Stretch, ...], kW: NDArray[np.float64] | None
) -> tuple[list[TurningPoint], list[Lost]]:
    points: list[TurningPoint] = []
    lost: list[Lost] = []
    if names.CABIN_AIR not in scene.signals:
        because = "the cabin's air temperature is not recorded."
        cure = "map Cabin.HVAC.AmbientAirTemperature"
        return points, [Lost("cabin-comfortable", because, cure)]
    channel = scene.channel(names.CABIN_AIR)
    for stretch in found:
        level, who = comfortable_from(scene, float(scene.t[(stretch.first + stretch.last) // 2]))
        if who.startswith("an assumption"):
            because = f"{degrees(level)} of cabin air is taken as comfortable; {who}."
            cure = "give [cabin] comfortable_from_degC, or map Cabin.HVAC.TargetTemperature"
            lost.append(Lost("comfortable cabin", because, cure))
        begin, end = float(scene.t[stretch.first]), float(scene.t[stretch.last])
        passed = [
            edge
            for edge in upward_crossings(channel, level, scene.recording.gaps)
            if begin < edge.t_s <= end + scene.step_s
        ]
        if not passed and undecided(channel, level):
            because = (
                f"at the end the reading is too near {degrees(level)} for steps of "
                f"{channel.resolution:.2g} K."
            )
            lost.append(Lost("cabin-comfortable", because, "record for longer"))
        elif not passed and too_near(channel, level, begin, end):
            because = (
                f"the cabin air came so near {degrees(level)} that steps of "
                f"{channel.resolution:.2g} K and noise cannot tell on which side it stayed."
            )
            lost.append(Lost("cabin-comfortable", because, "use a finer signal of the cabin air"))
        for edge in passed[:1]:
            mean = mean_over(kW, stretch.first, scene.tick(edge.t_s))
            with_what = f"{kilowatt(mean)} on average " if mean else "conditioning "
            before = scene.value(names.CABIN_AIR, begin)
            start = "" if before is None else f" from {degrees(before)}"
            text = (
                f"The cabin air passed {degrees(level)} ({who}){start}, after {with_what}"
                f"for {lasting(edge.t_s - begin)}."
            )
            now = Evidence(names.CABIN_AIR, level, "degC", level, edge.t_s)
            more = () if mean is None else (Evidence("cabin-heating", mean, "kW", None, edge.t_s),)
            points += turning("cabin-comfortable", edge, text, (now, *more))
            lost += silent("cabin-comfortable", edge)
    return points, lost


def tell_cabin(scene: Scene, wishes: Wishes) -> Told:
    """Tell the lane of the cabin.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    wishes : Wishes
        What was wanted.

    Returns
    -------
    Told
        Spans and turning points.
    """
    found, kW = conditioned(scene)
    if kW is None and wishes.cabin is None:
        because = "neither power of the cabin's heaters nor a request is recorded."
        cure = "map Cabin.HVAC.Heater.<Name>.Power or Cabin.HVAC.IsConditioningRequested"
        return Told(lost=(Lost("cabin", because, cure),))
    points, lost = _comfort(scene, found, kW)
    spans: list[Span] = []
    for stretch in found:
        level = mean_over(kW, stretch.first, stretch.last)
        text = "The cabin was conditioned"
        if level is not None:
            text += f" with {kilowatt(level)} on average"
        wanted = None
        if wishes.cabin is not None:
            wanted = wishes.cabin.rise_before(float(scene.t[stretch.first]), 30.0)
            text += "; it was requested" if wanted is not None else "; no request is recorded"
        spans.extend(spans_of(scene, "cabin", stretch, kW, text + "."))
    return Told(tuple(points), tuple(spans), tuple(lost))
