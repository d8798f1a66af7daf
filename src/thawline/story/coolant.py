"""Coolant through the pack."""

from __future__ import annotations

from thawline.story import names
from thawline.story.figures import plain
from thawline.story.scene import Scene
from thawline.story.story import Lost, Span
from thawline.story.stretches import Rule
from thawline.story.switching import on_stretches, signal_band, spans_of
from thawline.story.thresholds import threshold
from thawline.story.told import Told, mean_over


def tell_coolant(scene: Scene) -> Told:
    """Tell the lane of the coolant.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    Told
        Spans in which coolant flowed through the pack.
    """
    if names.COOLANT_FLOW not in scene.signals:
        because = "coolant flow is not recorded; heat from coolant into the pack cannot be told."
        cure = "map TractionBattery.Coolant.Flow"
        return Told(lost=(Lost("coolant", because, cure),))
    values = scene.signals[names.COOLANT_FLOW]
    band = signal_band(scene, names.COOLANT_FLOW, threshold("coolant_on_l_per_min"))
    bridge = threshold("coolant_bridge_s")
    spans: list[Span] = []
    for stretch in on_stretches(scene, values, band, Rule(3.0, bridge, 5.0)):
        mean = mean_over(values, stretch.first, stretch.last) or 0.0
        text = f"{plain(round(mean, 1), 'l/min')} of coolant flowed through the pack."
        spans.extend(spans_of(scene, "coolant", stretch, values, text))
    return Told(spans=tuple(spans))


def tell_gaps(scene: Scene) -> Told:
    """Tell the lane of missing data.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.

    Returns
    -------
    Told
        Spans in which nothing was recorded.
    """
    text = "Nothing was recorded."
    return Told(
        spans=tuple(
            Span("no-data", gap.from_s, gap.to_s, None, text) for gap in scene.recording.gaps
        )
    )
