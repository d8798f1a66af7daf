"""What keeps heating of the pack from being more at an instant."""

from __future__ import annotations

import numpy as np

from thawline.story import names
from thawline.story.bounds import Bound, answer, around, near, power_around
from thawline.story.figures import degrees, joined, kilowatt, moment
from thawline.story.gates import cell_name, coldest, coldest_path
from thawline.story.story import Evidence, Story, WhyNot
from thawline.story.tell import Acts
from thawline.story.thresholds import threshold
from thawline.story.told import flowing, seen

WISHES = {
    names.CHARGE_WANTED: "charging",
    names.CABIN_WANTED: "the cabin",
    names.CONDITIONING_ON: "conditioning",
}


def _target(acts: Acts, t_s: float) -> Bound | None:
    scene = acts.scene
    path, cell = coldest_path(scene), coldest(scene, t_s)
    target = scene.value(names.CONDITIONING_TARGET, t_s)
    if path is None or cell is None or target is None:
        return None
    if cell < target - max(threshold("target_margin_K"), scene.channel(path).resolution):
        return None
    text = f"{cell_name(scene)} is at {degrees(cell)}, the target {degrees(target)}"
    return Bound("target-reached", 0.0, text, seen(scene, path, t_s, target))


def _not_wanted(acts: Acts, t_s: float) -> Bound | None:
    scene = acts.scene
    states = {path: scene.value(path, t_s) for path in WISHES}
    known = {path: state for path, state in states.items() if state is not None}
    if not known or any(state > 0.5 for state in known.values()):
        return None
    evidence = tuple(Evidence(path, 0.0, "", 0.5, t_s) for path in known)
    what = joined([WISHES[path] for path in known]).replace(" and ", " nor ")
    text = f"{'neither ' if len(known) > 1 else ''}{what} is {'' if len(known) > 1 else 'not '}"
    return Bound("not-requested", 0.0, f"{text}requested", evidence)


def _supply(acts: Acts, t_s: float, i: int) -> Bound | None:
    """Say so if the supply gives all that it can while heating could be more."""
    scene = acts.scene
    ceiling = acts.supplied.offer.ceiling_kW(i)
    drawn = power_around(scene, "supply", i)
    if ceiling is None or drawn is None:
        return None
    most, who = ceiling
    if drawn < threshold("full_power_share") * most:
        return None
    heat = around(scene, acts.heated.kW, i) or 0.0
    evidence = flowing(scene, "supply", t_s, most)
    text = f"the supply gives {kilowatt(drawn)} of {kilowatt(most)}"
    cabin = power_around(scene, "cabin-heating", i)
    if cabin is not None and cabin > threshold("power_on_kW"):
        return Bound("loads-first", heat, f"{text} and the cabin takes {kilowatt(cabin)}", evidence)
    return Bound(who, heat, text, evidence)


def _full(acts: Acts, now: float) -> Bound | None:
    """Say so if the heaters give all that they are known to give."""
    units = acts.scene.recording.vehicle.drive_units
    rating = None
    if units.standstill_heat_kW is not None:
        rating = units.standstill_heat_kW * (units.count or 1)
    if rating is not None and near(rating, now):
        text = f"the drive units give the {kilowatt(rating)} that the vehicle file states"
        return Bound("nothing-known", rating, text)
    kW = acts.heated.kW
    if kW is None or np.isnan(kW).all():
        return None
    highest = float(np.nanquantile(kW, 0.99))
    if highest > threshold("power_on_kW") and near(highest, now):
        text = (
            f"that is the highest of this recording, {kilowatt(highest)}; no signal says "
            "whether the heaters could give more"
        )
        return Bound("nothing-known", highest, text)
    return None


def _nothing(acts: Acts, t_s: float) -> Bound:
    scene = acts.scene
    parts = []
    cell = coldest(scene, t_s)
    if cell is not None:
        parts.append(f"{cell_name(scene)} is at {degrees(cell)}")
    for path in [*scene.like(names.WINDING), names.MOTOR + "Temperature"]:
        winding = scene.value(path, t_s) if path in scene.signals else None
        if winding is not None and winding > threshold("windings_hot_degC"):
            parts.append(f"the windings are at {degrees(winding)}")
    would = [
        name
        for path, name in (
            (names.CONDITIONING_TARGET, "BatteryConditioning.TargetTemperature"),
            (names.CABIN_WANTED, "Cabin.HVAC.IsConditioningRequested"),
            (names.CHARGE_WANTED, "Charging.IsRequested"),
        )
        if path not in scene.signals
    ]
    tail = f" ({joined(would)} would tell more)" if would else ""
    text = "; ".join([f"no signal says what holds it{tail}", *parts])
    return Bound("nothing-known", float("inf"), text)


def _ended(story: Story, t_s: float) -> list[str]:
    """Say when heating last ended."""
    for point in reversed(story.turning_points):
        if point.kind == "pack-heating-begins" and point.t_s <= t_s:
            return []
        if point.kind == "pack-heating-ends" and point.t_s <= t_s:
            return [f"it ended at {moment(point.t_s)}"]
    return []


def why_not_heating(acts: Acts, story: Story, t_s: float) -> WhyNot:
    """Say what keeps heating of the pack from being more at an instant.

    Parameters
    ----------
    acts : Acts
        What was found in the recording.
    story : Story
        Its story.
    t_s : float
        The instant [s].

    Returns
    -------
    WhyNot
        The answer.
    """
    scene = acts.scene
    i = scene.tick(t_s)
    kW = acts.heated.kW
    now = around(scene, kW, i)
    if now is not None and now < threshold("power_on_kW"):
        now = 0.0
    if now is not None and now > 0.0:
        full = _full(acts, now)
        if full is not None:
            return answer("pack-heating", t_s, now, full)
        held = _supply(acts, t_s, i)
        return answer("pack-heating", t_s, now, held or _nothing(acts, t_s))
    for bound in (_target(acts, t_s), _not_wanted(acts, t_s)):
        if bound is not None:
            return answer("pack-heating", t_s, now, bound)
    return answer("pack-heating", t_s, now, _nothing(acts, t_s), _ended(story, t_s))
