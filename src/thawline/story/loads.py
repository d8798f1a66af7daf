"""Loads that came to need less than the supply gives, so that the rest goes into the pack."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.recording.flows import Flow
from thawline.story.figures import kilowatt, lasting
from thawline.story.full_power import plateau_kW
from thawline.story.scene import Scene
from thawline.story.story import Evidence
from thawline.story.supply import Supplied
from thawline.story.thresholds import threshold
from thawline.story.told import Cause, flowing, mean_over

#: Loads are compared with what they were so long before, the nearest that tells [s].
BEFORE_S = (120.0, 300.0, 600.0)
#: Powers are averaged over this time [s].
FEW_S = 30.0
#: A pack that took less than this share of what counts was not charged [1].
HARDLY = 0.5
HEATERS = ("drive-unit-heating", "pack-heater", "cabin-heating")


def _heaters(scene: Scene) -> NDArray[np.float64] | None:
    known = [flow.kW for name in HEATERS if (flow := scene.flow(name)) is not None]
    return np.asarray(np.sum(known, axis=0)) if known else None


def ceiling_of(scene: Scene, supplied: Supplied, i: int) -> tuple[float, str] | None:
    """Find the most that the supply can give, and who sets it.

    What is told counts, unless the supply stands at a level below it that the recording
    shows as its highest, although more was wanted: then something unseen sets it.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    supplied : Supplied
        When a supply was there.
    i : int
        The tick [1].

    Returns
    -------
    tuple of float and str or None
        The ceiling [kW] and ``supply``, ``charger-rating``, ``plateau``, or ``here`` where
        the supply stands still while the pack has to help; None where nothing tells.
    """
    told, flow = supplied.offer.ceiling_kW(i), scene.flow("supply")
    if flow is None:
        return told
    level, share = plateau_kW(scene, flow.kW), threshold("full_power_share")
    few = int(threshold("look_around_s") / scene.step_s)
    drawn = mean_over(flow.kW, max(0, i - few), i + few)
    if drawn is None or (told is not None and drawn >= share * told[0]):
        return told
    if level is None or drawn < share * level:
        return (drawn, "here") if _held(scene, flow.kW, drawn, i) else told
    return told if told is not None and level >= share * told[0] else (level, "plateau")


def _held(scene: Scene, kW: NDArray[np.float64], drawn_kW: float, i: int) -> bool:
    """Tell whether the supply stands at a level around a tick although the pack has to help."""
    half = int(threshold("plateau_for_s") / 2.0 / scene.step_s)
    near = slice(max(0, i - half), i + half + 1)
    pack = scene.flow("pack")
    if pack is None or np.isnan(kW[near]).any() or np.isnan(pack.kW[near]).any():
        return False
    still = float(np.ptp(kW[near])) <= (1.0 - threshold("full_power_share")) * drawn_kW
    helps = bool(np.all(pack.kW[near] < -threshold("power_on_kW")))
    return still and helps and drawn_kW > threshold("power_on_kW")


def ceiling_kW(scene: Scene, supplied: Supplied, i: int) -> float | None:
    """Find the most that the supply can give: what is told, else the level that it keeps.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    supplied : Supplied
        When a supply was there.
    i : int
        The tick [1].

    Returns
    -------
    float or None
        The ceiling [kW]; None where nothing tells.
    """
    told, flow = supplied.offer.ceiling_kW(i), scene.flow("supply")
    if told is not None:
        return told[0]
    return None if flow is None else plateau_kW(scene, flow.kW)


def _full_since(scene: Scene, supply: Flow, ceiling_kW: float, first: int, last: int) -> bool:
    """Tell whether the supply gave all it could over a span of ticks."""
    blocks = max(1, int(FEW_S / scene.step_s))
    means = [mean_over(supply.kW, i, i + blocks) for i in range(first, last, blocks)]
    least = threshold("full_power_share") * ceiling_kW
    return bool(means) and all(mean is not None and mean >= least for mean in means)


def loads_let_go(scene: Scene, supplied: Supplied, t_s: float) -> list[Cause]:
    """Tell whether loads came to need less than the supply gives.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    supplied : Supplied
        When a supply was there.
    t_s : float
        When charging began [s].

    Returns
    -------
    list of Cause
        One, or none.
    """
    i, few = scene.tick(t_s), int(FEW_S / scene.step_s)
    ceiling = ceiling_kW(scene, supplied, i)
    pack, supply = scene.flow("pack"), scene.flow("supply")
    drawn = scene.power("supply", t_s)
    if ceiling is None or pack is None or supply is None or drawn is None:
        return []
    least, heaters = threshold("power_on_kW"), _heaters(scene)
    # loads ease slowly: whatever else came about shortly before is the better reason
    since = t_s - threshold("cause_after_s")
    for before_s in BEFORE_S:
        back = i - int(before_s / scene.step_s)
        if back < 0 or not _full_since(scene, supply, ceiling, back, i):
            return []
        helped = mean_over(pack.kW, back, back + few)
        if helped is None or helped > HARDLY * least:
            continue  # it was being charged then
        evidence = flowing(scene, "supply", t_s, ceiling)
        then = mean_over(heaters, back, back + few)
        now = mean_over(heaters, i, i + few)
        ago = f"{lasting(before_s)} before"
        if then is not None and now is not None and then - now >= least:
            text = (
                f"The heaters came to need less than the supply gives, {kilowatt(now)} after "
                f"{kilowatt(then)} {ago}; of the {kilowatt(drawn)} drawn the rest goes into the "
                "pack."
            )
            return [Cause(since, text, (Evidence("heaters", now, "kW", drawn, t_s), *evidence))]
        if helped > -least:
            continue
        text = (
            f"The loads came to need less than the {kilowatt(drawn)} that the supply gives, all "
            f"that it can: {ago} the pack had still helped with {kilowatt(-helped)}. Which load "
            "eased is not recorded."
        )
        return [Cause(since, text, (Evidence("pack", helped, "kW", -least, t_s), *evidence))]
    return []
