"""What a charger's regulation pushes into a pack that may not be charged.

A charger that feeds heaters gives a little more or less than they take. What that leaves for
the pack is no charging where the pack's own limit is zero, or the pack far too cold.
"""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from thawline.story import names
from thawline.story.gates import charge_gate, coldest_path
from thawline.story.scene import Scene
from thawline.story.stretch import Stretch, reach
from thawline.story.thresholds import threshold


def residue(scene: Scene, kW: NDArray[np.float64], most_kW: float) -> NDArray[np.bool_]:
    """Tell where a little power into the pack is the charger's regulation.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    kW : ndarray of float64, shape (n,)
        Power into the pack on the clock [kW].
    most_kW : float
        More than this is no residue [kW].

    Returns
    -------
    ndarray of bool, shape (n,)
        True where the pack takes hardly anything, although power comes from outside, and is
        allowed nothing: by its limit, or, where none is recorded, by its temperature.
    """
    little = np.nan_to_num(kW, nan=np.inf) < most_kW
    limit = scene.signal(names.CHARGE_LIMIT)
    if limit is not None:
        closed = ~np.isnan(limit)
        for stretch in charge_gate(scene).open or ():
            begin, end = reach(stretch, scene.t)
            closed &= (scene.t < begin) | (scene.t > end)
        return little & _stays(scene, closed, names.CHARGE_LIMIT)
    path, supply = coldest_path(scene), scene.flow("supply")
    if path is None or supply is None:
        return np.zeros(len(kW), dtype=np.bool_)
    stated = scene.recording.vehicle.limits.charging_from_degC
    allowed = threshold("charging_from_degC") if stated is None else stated
    cold = scene.signals[path] < allowed - threshold("learned_within_K")
    small = np.nan_to_num(kW) < threshold("residue_share") * np.nan_to_num(supply.kW)
    return little & small & _stays(scene, np.asarray(cold), path)


def after_residue(scene: Scene, stretch: Stretch, left: NDArray[np.bool_]) -> Stretch:
    """Let charging begin where it was allowed, if a residue went before.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    stretch : Stretch
        When the pack was charged.
    left : ndarray of bool, shape (n,)
        Where a charger's regulation left a residue.

    Returns
    -------
    Stretch
        The same, or one that begins no earlier than the residue's end.
    """
    begins = stretch.begins
    before = np.flatnonzero(left[: stretch.first])
    if begins is None or begins.silence_s or not len(before):
        return stretch
    ended = float(scene.t[before[-1]]) + scene.step_s / 2.0
    if begins.t_s >= ended:
        return stretch
    return replace(stretch, begins=replace(begins, t_s=ended))


def _stays(scene: Scene, closed: NDArray[np.bool_], path: str) -> NDArray[np.bool_]:
    """Take off the time before an opening in which a slow signal may not yet have told it."""
    late = int(np.ceil(scene.period_s((path,)) / scene.step_s)) + 1
    later = np.concatenate((closed[late:], np.full(min(late, len(closed)), False)))
    return np.asarray(closed & later[: len(closed)])
