"""Driving: when the car set off and when it came to rest."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.story import names
from thawline.story.figures import lasting, plain
from thawline.story.onset import Band
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, Span, TurningPoint
from thawline.story.switching import on_stretches, rule_of, signal_band, spans_of
from thawline.story.thresholds import threshold
from thawline.story.told import Told, mean_over, silent, turning


def _motion(scene: Scene) -> tuple[NDArray[np.float64], str, float] | None:
    """Find what tells motion: the car's speed, or else a motor's."""
    if names.SPEED in scene.signals:
        return np.abs(scene.signals[names.SPEED]), names.SPEED, threshold("drive_on_km_per_h")
    turning_paths = [names.MOTOR + "Speed", *scene.like(names.MOTOR_SPEED)]
    for path in turning_paths:
        if path in scene.signals:
            return np.abs(scene.signals[path]), path, threshold("motor_turns_rpm")
    return None


def _stands_at_the_end(scene: Scene, values: NDArray[np.float64], band: Band) -> tuple[Lost, ...]:
    """Say that a car that stands where the recording ends may have stopped for good."""
    moved = np.flatnonzero(np.nan_to_num(values) > band.off_below)
    stood_s = (len(values) - 1 - int(moved[-1])) * scene.step_s if len(moved) else 0.0
    if stood_s < 2.0 * scene.step_s:
        return ()
    because = (
        f"the car stood for the recording's last {lasting(stood_s)}, no longer than at a light: "
        "whether the drive had ended cannot be told."
    )
    return (Lost("drive-ends", because, "record for longer"),)


def tell_driving(scene: Scene) -> Told:
    """Tell the lane of driving.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    Told
        Spans and turning points.
    """
    found = _motion(scene)
    if found is None:
        because = "neither the car's speed nor a motor's is recorded."
        return Told(lost=(Lost("driving", because, "map Speed"),))
    values, path, least = found
    band = signal_band(scene, path, least)
    unit = scene.channel(path).unit
    drives = on_stretches(scene, values, band, rule_of("drive"))
    flow = scene.flow("driving")
    points: list[TurningPoint] = []
    spans: list[Span] = []
    lost: list[Lost] = []
    limit = f"{plain(band.on_above, unit)}"
    for stretch in drives:
        for kind, edge in (("drive-begins", stretch.begins), ("drive-ends", stretch.ends)):
            if edge is None:
                continue
            side = 1 if kind == "drive-begins" else -1
            at = scene.tick(edge.t_s + side * 5.0)
            here = Evidence(
                path, float(np.nan_to_num(values[at])), unit, band.on_above, float(scene.t[at])
            )
            text = (
                f"The car set off: its speed rose past {limit}."
                if side > 0
                else f"The car came to rest: its speed stayed below {limit}."
            )
            points += turning(kind, edge, text, (here,))
            lost += silent(kind, edge)
        if stretch.ends is None:
            lost += _stands_at_the_end(scene, values, band)
        mean = mean_over(values, stretch.first, stretch.last) or 0.0
        text = f"The car drove at {plain(round(mean, 1), unit)} on average, stops included."
        kW = None if flow is None else flow.kW
        spans.extend(spans_of(scene, "driving", stretch, kW, text))
    return Told(tuple(points), tuple(spans), tuple(lost))
