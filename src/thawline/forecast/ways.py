"""What a morning shows of who comes first where the supply is small: cabin, heat or charging."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.settings import setting
from thawline.story.scene import Scene
from thawline.story.tell import Acts

#: Quantile of the supply's power that stands for the level it kept [1].
HIGH = 0.9
#: Share of the time of charging that must be spent at that level [1].
KEPT_SHARE = 0.3


def _mean(kW: NDArray[np.float64], t: NDArray[np.float64], from_s: float, to_s: float) -> float:
    part = kW[(t > from_s) & (t < to_s) & ~np.isnan(kW)]
    return float(np.mean(part)) if len(part) else float("nan")


def cabin_took_over(scene: Scene, t_s: float) -> bool:
    """Tell whether the cabin began to take power when heat ended: then no target was reached.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    t_s : float
        When heat ended [s].

    Returns
    -------
    bool
        True if it did.
    """
    flow = scene.flow("cabin-heating")
    if flow is None:
        return False
    near = setting("recent_s")
    before = _mean(flow.kW, scene.t, t_s - 2.0 * near, t_s - near)
    return _mean(flow.kW, scene.t, t_s, t_s + near) - before > setting("room_kW")


def charging_came_first(acts: Acts) -> bool | None:
    """Tell whether heat yielded to charging, or charging waited for heat to end.

    Parameters
    ----------
    acts : Acts
        What was on and off.

    Returns
    -------
    bool or None
        True if heat fell by more than a fifth when charging began, as soon as it was allowed;
        False if charging was allowed and began only when heat had ended or fallen; None if the
        morning tells neither.
    """
    opened = next((s.begins.t_s for s in acts.charge_gate.open or () if s.begins), None)
    began = next((s.begins.t_s for s in acts.charged.stretches if s.begins), None)
    heat, t, near = acts.heated.kW, acts.scene.t, setting("charging_waits_s")
    if opened is None or began is None or heat is None:
        return None
    before = _mean(heat, t, opened - near, opened)
    after = _mean(heat, t, began + near / 2.0, began + 1.5 * near)
    if not before > setting("on_kW"):
        return None
    fell = after < (1.0 - setting("change_share")) * before
    if not fell:
        return None
    return bool(began - opened < near)


def steady_supply_kW(acts: Acts) -> float | None:
    """Give the level that the supply kept while the pack was charged and could take more.

    Parameters
    ----------
    acts : Acts
        What was on and off.

    Returns
    -------
    float or None
        The level; None if it kept none [kW].
    """
    scene, flow, pack = acts.scene, acts.scene.flow("supply"), acts.scene.flow("pack")
    if flow is None or pack is None:
        return None
    on = np.zeros(len(scene.t), dtype=np.bool_)
    for stretch in acts.charged.stretches:
        on[stretch.first : stretch.last + 1] = True
    on &= ~np.isnan(flow.kW)
    if acts.charge_gate.path in scene.signals:
        limit = scene.signals[acts.charge_gate.path]
        on &= np.nan_to_num(limit - pack.kW) > setting("room_kW")
    if not on.any():
        return None
    level = float(np.quantile(flow.kW[on], HIGH))
    near = np.abs(flow.kW[on] - level) < (1.0 - setting("full_share")) * level
    enough = float(np.sum(near)) * scene.step_s > setting("recent_s") and np.mean(near) > KEPT_SHARE
    return level if enough and level > setting("least_supply_kW") else None
