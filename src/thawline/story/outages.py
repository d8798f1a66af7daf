"""Supplies that failed while the cable stayed, and what can be told without a cable signal."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from thawline.story import names
from thawline.story.figures import kilowatt, lasting, voltage
from thawline.story.offers import Offer
from thawline.story.scene import Scene, last_known
from thawline.story.story import Evidence, Lost, TurningPoint
from thawline.story.stretch import Edge, Stretch, holding, reach
from thawline.story.thresholds import threshold
from thawline.story.told import Told, silent, turning

NO_CABLE = (
    "no signal tells whether the cable is connected "
    "(Charging.ChargingPort.<Position>.IsChargingCableConnected would)"
)


def _goes_on(scene: Scene, cable: Sequence[Stretch], t_s: float) -> Stretch | None:
    """Find the cable's stretch that holds an instant and goes on after it."""
    found = holding(cable, scene.t, t_s)
    if found is None or reach(found, scene.t)[1] <= t_s + threshold("cable_follows_s"):
        return None
    return found


def _level(scene: Scene, offer: Offer, i: int) -> Evidence | None:
    """Give the voltage, or else the power, at a tick."""
    i = int(np.clip(i, 0, len(scene.t) - 1))
    at = float(scene.t[i])
    if offer.volts is not None:
        paths = [*scene.like(names.PHASE_VOLTAGE), names.DIRECT_VOLTAGE]
        here = [path for path in paths if path in scene.signals]
        volts = last_known(offer.volts, i, 5)
        if volts is not None:
            return Evidence(here[0], volts, "V", threshold("supply_gone_V"), at)
    flow = scene.flow("supply")
    power = None if flow is None else last_known(flow.kW, i, 5)
    return None if power is None else Evidence("supply", power, "kW", 0.0, at)


def _let_go(scene: Scene, end: Edge) -> bool:
    """Tell whether the car itself had let the supply go: nothing drawn, nothing wanted."""
    flow = scene.flow("supply")
    ticks = int(threshold("idle_before_loss_s") / scene.step_s)
    last = scene.tick(end.t_s) - 2
    if flow is None or last < ticks:
        return False
    drawn = flow.kW[last - ticks : last]
    known = drawn[~np.isnan(drawn)]
    idle = len(known) > 0 and float(known.max()) < threshold("power_on_kW")
    wanted = scene.value(names.CHARGE_WANTED, end.t_s)
    return idle and wanted is not None and wanted < 0.5


def _pack_takes_over(scene: Scene, end: Edge) -> bool:
    """Tell whether the pack had to feed what the supply had fed."""
    pack = scene.flow("pack")
    if pack is None:
        return False
    i = scene.tick(end.t_s)
    few = int(10.0 / scene.step_s)
    before, after = pack.kW[max(0, i - few) : i - 1], pack.kW[i + 2 : i + few]
    if not len(before) or not len(after) or np.isnan(before).all() or np.isnan(after).all():
        return False
    drop = float(np.nanmedian(before) - np.nanmedian(after))
    return drop > 2.0 * threshold("power_on_kW") and float(np.nanmedian(after)) < 0.0


def _drives(scene: Scene, from_s: float, to_s: float) -> bool:
    speed = scene.signal(names.SPEED)
    if speed is None:
        return False
    part = speed[scene.tick(from_s) : scene.tick(to_s) + 1]
    moving = np.nan_to_num(part) > 2.0 * threshold("drive_on_km_per_h")
    return bool(moving.sum() * scene.step_s >= threshold("drive_least_s"))


def _lost_and_back(
    scene: Scene, offer: Offer, end: Edge, back: Edge | None, note: str
) -> tuple[list[TurningPoint], list[Lost]]:
    i = scene.tick(end.t_s)
    few = int(3.0 / scene.step_s) + 1
    before, after = _level(scene, offer, i - few), _level(scene, offer, i + few)
    evidence = [each for each in (before, after) if each is not None]
    drew = scene.power("supply", end.t_s - 3.0)
    text = f"The supply vanished while the cable stayed connected{note}"
    if before is not None and after is not None and before.unit == "V":
        text += f": from {voltage(before.value)} to {voltage(after.value)}"
    if drew is not None and drew > threshold("power_on_kW"):
        text += f", when {kilowatt(drew)} were drawn"
    text += "; no signal of the car tells what happened on the supply's side."
    points = list(turning("supply-lost", end, text, evidence))
    lost = list(silent("supply-lost", end))
    if back is not None:
        j = scene.tick(back.t_s)
        again = _level(scene, offer, j + few)
        text = f"The supply came back after {lasting(back.t_s - end.t_s)}{note}."
        points += turning("supply-back", back, text, [again] if again else [])
        lost += silent("supply-back", back)
    return points, lost


def outages(
    scene: Scene, cable: Sequence[Stretch], present: Sequence[Stretch], by: str, offer: Offer
) -> Told:
    """Find supplies that failed while the cable stayed connected.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    cable : sequence of Stretch
        When a cable was connected.
    present : sequence of Stretch
        When a supply was there.
    by : str
        What told that: ``voltage``, ``power``, ``offer`` or ``cable``.
    offer : Offer
        What the supply offered.

    Returns
    -------
    Told
        ``supply-lost`` and ``supply-back``.
    """
    points: list[TurningPoint] = []
    lost: list[Lost] = []
    for i, stretch in enumerate(present):
        end = stretch.ends
        under = None if end is None else _goes_on(scene, cable, end.t_s)
        if end is None or under is None:
            continue
        left = scene.recording.duration_s - end.t_s
        if left < threshold("supply_lost_after_s") or _let_go(scene, end):
            continue
        if by == "power" and not _pack_takes_over(scene, end):
            continue
        following = present[i + 1].begins if i + 1 < len(present) else None
        back = following if following and reach(under, scene.t)[1] > following.t_s else None
        more = _lost_and_back(scene, offer, end, back, "")
        points += more[0]
        lost += more[1]
    return Told(tuple(points), (), tuple(lost))


def without_cable(scene: Scene, present: Sequence[Stretch], by: str, offer: Offer) -> Told:
    """Tell plugging in and out, and failures, from the supply alone.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    present : sequence of Stretch
        When a supply was there.
    by : str
        What told that: ``voltage``, ``power`` or ``offer``.
    offer : Offer
        What the supply offered.

    Returns
    -------
    Told
        Turning points, and what cannot be told.
    """
    cure = "map Charging.ChargingPort.<Position>.IsChargingCableConnected"
    lost = [
        Lost("cable", f"{NO_CABLE}; the supply's {by} stands for it, and may come later.", cure)
    ]
    points: list[TurningPoint] = []
    failed = False
    for i, stretch in enumerate(present):
        begin, end = stretch.begins, stretch.ends
        woke = begin is not None and begin.t_s < threshold("waking_s")
        if begin is not None and woke:
            because = (
                f"the supply's {by} appeared in the recording's first seconds; {NO_CABLE}, so "
                "the car may have woken up on a cable that was there before."
            )
            lost.append(Lost("plugged-in", because, cure))
        elif begin is not None and not failed:
            few = int(3.0 / scene.step_s) + 1
            found = _level(scene, offer, scene.tick(begin.t_s) + few)
            text = f"The supply's {by} appeared; {NO_CABLE}, so the cable may have come earlier."
            points += turning("plugged-in", begin, text, [found] if found else [])
            lost += silent("plugged-in", begin)
        failed = False
        if end is None:
            continue
        following = present[i + 1] if i + 1 < len(present) else None
        until = scene.recording.duration_s
        if following is not None:
            until = float(scene.t[following.first])
        if _drives(scene, end.t_s, until):
            text = f"The supply's {by} ended and the car drove later; {NO_CABLE}."
            found = _level(scene, offer, scene.tick(end.t_s) + 2)
            points += turning("unplugged", end, text, [found] if found else [])
        elif by == "power" and not _pack_takes_over(scene, end):
            continue
        elif following is not None and following.begins is not None:
            note = " (without a cable signal, unplugging for a while looks the same)"
            more = _lost_and_back(scene, offer, end, following.begins, note)
            points += more[0]
            lost += more[1]
            failed = True
        else:
            both = f"{NO_CABLE}, so unplugging and a failure look the same"
            lost.append(
                Lost("unplugged", f"the supply's {by} ended at {end.t_s:.0f} s; {both}.", cure)
            )
            if scene.recording.duration_s - end.t_s >= threshold("gone_for_good_s"):
                text = f"The supply's {by} ended and did not come back; {both}."
                found = _level(scene, offer, scene.tick(end.t_s) + 2)
                points += turning("unplugged", end, text, [found] if found else [])
    return Told(tuple(points), (), tuple(lost))
