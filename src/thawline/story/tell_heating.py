"""The lane of pack heating: spans and turning points with their reasons."""

from __future__ import annotations

from thawline.story.figures import kilowatt
from thawline.story.gates import Gate
from thawline.story.heating import Heated
from thawline.story.heating_causes import (
    began_unknown,
    ended_unknown,
    why_heating_began,
    why_heating_ended,
)
from thawline.story.requests import Wishes
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, Span, TurningPoint
from thawline.story.stretch import Edge, Stretch
from thawline.story.supply import Supplied
from thawline.story.switching import spans_of
from thawline.story.thresholds import threshold
from thawline.story.told import Told, latest, mean_over, silent, turning


def _level(heated: Heated, stretch: Stretch, at: Edge) -> tuple[Evidence, ...]:
    level = mean_over(heated.kW, stretch.first, stretch.last)
    if level is None:
        return ()
    name = heated.signals[0] if len(heated.signals) == 1 else "pack heating"
    return (Evidence(name, level, "kW", threshold("power_on_kW"), at.t_s),)


def _who_paid(scene: Scene, stretch: Stretch) -> str:
    """Say whether supply or pack fed the heating."""
    supply, pack = scene.flow("supply"), scene.flow("pack")
    given = mean_over(None if supply is None else supply.kW, stretch.first, stretch.last)
    drawn = mean_over(None if pack is None else pack.kW, stretch.first, stretch.last)
    least = threshold("power_on_kW")
    if given is not None and given > least:
        if drawn is not None and drawn < -least:
            return (
                f"; the supply gave {kilowatt(given)} and the pack helped with {kilowatt(-drawn)}"
            )
        return f"; the supply gave {kilowatt(given)}"
    if drawn is not None and drawn < -least:
        return f"; the pack itself fed it, giving {kilowatt(-drawn)} in all"
    return ""


def tell_heating(
    scene: Scene, heated: Heated, wishes: Wishes, supplied: Supplied, gate: Gate
) -> Told:
    """Tell the lane of pack heating.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    heated : Heated
        When the pack was heated.
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
    lost: list[Lost] = list(heated.lost)
    period = scene.period_s(heated.signals)
    for stretch in heated.stretches:
        reason = "The pack was heated"
        if stretch.begins is not None:
            at = stretch.begins
            when = at.seen_s
            causes = why_heating_began(scene, wishes, supplied, gate, when, period)
            cause = latest(causes, at, period)
            text = began_unknown(wishes) if cause is None else cause.because
            level = _level(heated, stretch, at)
            evidence = (*(() if cause is None else cause.evidence), *level)
            points += turning("pack-heating-begins", at, text, evidence)
            lost += silent("pack-heating-begins", at)
        else:
            reason = "The pack was being heated when the recording began, or when data came back"
        if stretch.ends is not None:
            at = stretch.ends
            when = at.seen_s
            causes = why_heating_ended(scene, wishes, supplied, when, period)
            cause = latest(causes, at, period)
            text = ended_unknown(scene, gate, when) if cause is None else cause.because
            evidence = () if cause is None else cause.evidence
            level = _level(heated, stretch, at)
            points += turning("pack-heating-ends", at, text, (*evidence, *level))
            lost += silent("pack-heating-ends", at)
        mean = mean_over(heated.kW, stretch.first, stretch.last)
        with_what = "" if mean is None else f" with {kilowatt(mean)} on average"
        text = f"{reason}{with_what}{_who_paid(scene, stretch)}."
        spans.extend(spans_of(scene, "pack-heating", stretch, heated.kW, text))
    return Told(tuple(points), tuple(spans), tuple(lost))
