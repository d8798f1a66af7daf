"""The moment at which the coldest cell passes 0 °C."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.story import names
from thawline.story.crossing import begins_near, undecided, upward_crossings
from thawline.story.figures import degrees, kilowatt, lasting, moment
from thawline.story.gates import coldest_path
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, TurningPoint
from thawline.story.stretch import Edge, Stretch
from thawline.story.thresholds import threshold
from thawline.story.told import Told, mean_over, silent, turning

#: Times before the passage at which the warming is judged [s].
LOOK_BACK_S = (600.0, 300.0, 120.0, 60.0)


def _warmed_by(
    scene: Scene, heating: tuple[Stretch, ...], heat: NDArray[np.float64] | None, t_s: float
) -> str:
    """Say what warmed the pack before an instant."""
    i = scene.tick(t_s)
    for stretch in reversed(heating):
        if stretch.first <= i:
            last = min(i, stretch.last)
            level = mean_over(heat, stretch.first, last)
            for_s = (last - stretch.first + 1) * scene.step_s
            if level is not None:
                return f"{kilowatt(level)} of heat had warmed the pack for {lasting(for_s)}"
            return f"the pack had been heated for {lasting(for_s)}"
    outside = scene.value(names.OUTSIDE_AIR, t_s)
    if outside is not None and outside > threshold("thaw_degC"):
        return f"the air outside was at {degrees(outside)}"
    pack = scene.flow("pack")
    window = max(0, i - int(LOOK_BACK_S[0] / scene.step_s))
    through = mean_over(None if pack is None else abs(pack.kW), window, i)
    if through is not None and through > 1.0:
        return f"{kilowatt(through)} through the pack warmed it from within"
    return (
        "no signal says what warmed it (ElectricMotor.<Position>.StandstillHeat or "
        "TractionBattery.Heater.Power would)"
    )


def _rise(scene: Scene, path: str, edge: Edge) -> str:
    for back in LOOK_BACK_S:
        earlier = scene.value(path, edge.t_s - back, 5.0) if edge.t_s >= back else None
        if earlier is not None:
            return f" from {degrees(earlier)} in {lasting(back)}"
    return ""


def _only_the_mean(scene: Scene, path: str, level: float) -> Lost:
    """Say what the pack's mean tells of the coldest cell: it passes later."""
    edges = upward_crossings(scene.channel(path), level, scene.recording.gaps)
    when = f"passed {degrees(level)} at {moment(edges[0].t_s)}" if edges else "did not pass it"
    because = (
        f"the coldest cell is not recorded; the pack's mean {when}, and the coldest cell "
        "lies below the mean."
    )
    cure = "map Powertrain.TractionBattery.Temperature.Min"
    return Lost("coldest-cell-thaws", because, cure)


def tell_thaw(scene: Scene, heating: tuple[Stretch, ...], heat: NDArray[np.float64] | None) -> Told:
    """Tell when the coldest cell thawed.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    heating : tuple of Stretch
        When the pack was heated.
    heat : ndarray of float64 or None
        Heating power on the clock [kW].

    Returns
    -------
    Told
        ``coldest-cell-thaws``.
    """
    path = coldest_path(scene)
    if path is None:
        because = "no temperature of the pack is recorded."
        cure = "map Powertrain.TractionBattery.Temperature.Min"
        return Told(lost=(Lost("coldest-cell-thaws", because, cure),))
    lost: list[Lost] = []
    level = threshold("thaw_degC")
    if path != names.COLDEST:
        return Told(lost=(_only_the_mean(scene, path, level),))
    points: list[TurningPoint] = []
    for edge in upward_crossings(scene.channel(path), level, scene.recording.gaps):
        warmed = _warmed_by(scene, heating, heat, edge.t_s)
        text = f"The coldest cell passed {degrees(level)}{_rise(scene, path, edge)}: {warmed}."
        now = Evidence(path, level, "degC", level, edge.t_s)
        points += turning("coldest-cell-thaws", edge, text, (now,))
        lost += silent("coldest-cell-thaws", edge)
    if not points and begins_near(scene.channel(path), level):
        step = scene.channel(path).resolution
        because = (
            f"the reading begins too near {degrees(level)} for steps of {step:.2g} K; the coldest "
            "cell may have passed it."
        )
        lost.append(Lost("coldest-cell-thaws", because, "use a finer signal of the coldest cell"))
    if undecided(scene.channel(path), level):
        step = scene.channel(path).resolution
        because = f"at the end the reading is too near {degrees(level)} for steps of {step:.2g} K."
        lost.append(Lost("coldest-cell-thaws", because, "record for longer"))
    return Told(tuple(points), (), tuple(lost))
