"""The lane of charging: spans and turning points with their reasons."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from thawline.story.charging import Charged
from thawline.story.charging_began import began_unknown, why_charging_began
from thawline.story.charging_ended import ended_unknown, why_charging_ended
from thawline.story.figures import energy, kilowatt
from thawline.story.gates import Gate
from thawline.story.heating import Heated
from thawline.story.requests import Wishes
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, Span, TurningPoint
from thawline.story.stretch import Edge
from thawline.story.supply import Supplied
from thawline.story.switching import spans_of
from thawline.story.told import Told, latest, mean_over, silent, turning

#: Charging power is quoted as its mean over this time beside an edge [s].
BESIDE_S = 20.0


def _beside(scene: Scene, charged: Charged, edge: Edge, way: int) -> tuple[Evidence, ...]:
    """Give the mean charging power just after (+1) or just before (-1) an edge."""
    if charged.kW is None:
        return ()
    i, few = scene.tick(edge.t_s), max(1, int(BESIDE_S / scene.step_s))
    first, last = (i, i + few) if way > 0 else (max(0, i - few), i)
    level = mean_over(charged.kW, first, last)
    if level is None:
        return ()
    return (Evidence("charging power", level, "kW", charged.on_above_kW, edge.t_s),)


def _what_went_in(span: Span) -> str:
    if span.level is None:
        text = "The car says that it was charging."
    else:
        kWh = span.level * (span.to_s - span.from_s) / 3600.0
        text = f"{energy(kWh)} went into the pack, {kilowatt(span.level)} on average."
    return f"{text} It was charging when the recording began." if span.from_s <= 0.0 else text


def tell_charging(
    scene: Scene,
    charged: Charged,
    heated: Heated,
    wishes: Wishes,
    supplied: Supplied,
    gate: Gate,
) -> Told:
    """Tell the lane of charging.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    charged : Charged
        When the pack was charged.
    heated : Heated
        When it was heated.
    wishes : Wishes
        What was wanted.
    supplied : Supplied
        When a supply was there.
    gate : Gate
        The limit of charging power.

    Returns
    -------
    Told
        Spans and turning points.
    """
    points: list[TurningPoint] = []
    spans: list[Span] = []
    lost: list[Lost] = list(charged.lost)
    period = scene.period_s(charged.signals)
    for stretch in charged.stretches:
        if stretch.begins is not None:
            at = stretch.begins
            when = at.seen_s
            causes = why_charging_began(scene, wishes, supplied, heated, gate, when, period)
            cause = latest(causes, at, period)
            text = began_unknown(scene, wishes) if cause is None else cause.because
            why = () if cause is None else cause.evidence
            points += turning("charging-begins", at, text, (*why, *_beside(scene, charged, at, 1)))
            lost += silent("charging-begins", at)
        if stretch.ends is not None:
            at = stretch.ends
            when = at.seen_s
            ended = why_charging_ended(scene, wishes, supplied, gate, when, period)
            cause = latest(ended, at, period)
            text = ended_unknown(scene, wishes) if cause is None else cause.because
            why = () if cause is None else cause.evidence
            points += turning("charging-ends", at, text, (*why, *_beside(scene, charged, at, -1)))
            lost += silent("charging-ends", at)
        shown = None if charged.kW is None else np.where(supplied.absent, np.nan, charged.kW)
        found = spans_of(scene, "charging", stretch, shown, "")
        spans += [replace(span, because=_what_went_in(span)) for span in found]
    return Told(tuple(points), tuple(spans), tuple(lost))
