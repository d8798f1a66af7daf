"""What one lane has to tell, and how its turning points are made."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.story import names
from thawline.story.figures import lasting, percent
from thawline.story.scene import Scene
from thawline.story.story import Evidence, Lost, Span, TurningPoint
from thawline.story.stretch import Edge
from thawline.story.thresholds import threshold


@dataclass(frozen=True, slots=True)
class Told:
    """What one lane has to tell.

    Parameters
    ----------
    points : tuple of TurningPoint
        Its turning points.
    spans : tuple of Span
        Its spans.
    lost : tuple of Lost
        What it cannot tell.
    """

    points: tuple[TurningPoint, ...] = ()
    spans: tuple[Span, ...] = ()
    lost: tuple[Lost, ...] = ()


@dataclass(frozen=True, slots=True)
class Cause:
    """Something that may be the reason for something else.

    Parameters
    ----------
    at_s : float
        When it came about; minus infinity if it held all along [s].
    because : str
        The reason as a sentence.
    evidence : tuple of Evidence
        What it rests on.
    """

    at_s: float
    because: str
    evidence: tuple[Evidence, ...]


def latest(causes: Iterable[Cause], effect: Edge, slack_s: float = 0.0) -> Cause | None:
    """Choose the reason: of all conditions that are met, the one that was met last.

    If all were met long before, the answer says so: none of them tells why it came only now.

    Parameters
    ----------
    causes : iterable of Cause
        Candidates, in order of preference among those met at about the same time.
    effect : Edge
        When the effect began.
    slack_s : float
        How late the slowest signal may tell a cause, besides the usual [s].

    Returns
    -------
    Cause or None
        The cause; None if no candidate came shortly before, nor held all along.
    """
    late = effect.seen_s + threshold("cause_after_s") + slack_s
    early = effect.t_s - effect.silence_s / 2.0 - threshold("cause_before_s")
    candidates = [cause for cause in causes if cause.at_s <= late]
    recent = [cause for cause in candidates if cause.at_s >= early]
    if recent:
        newest = max(cause.at_s for cause in recent)
        return next(cause for cause in recent if cause.at_s >= newest - 2.0)
    oldest = max(candidates, key=lambda cause: cause.at_s, default=None)
    if oldest is None:
        return None
    ago = effect.t_s - oldest.at_s
    held = "all along" if ago == float("inf") else f"for {lasting(ago)}"
    text = f"{oldest.because} That had held {held}; no signal says why it came only now."
    return Cause(oldest.at_s, text, oldest.evidence)


def seen(scene: Scene, path: str, t_s: float, against: float | None = None) -> tuple[Evidence, ...]:
    """Read a signal as evidence.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    path : str
        The signal.
    t_s : float
        When [s].
    against : float, optional
        What it is held against [unit].

    Returns
    -------
    tuple of Evidence
        One piece of evidence; none if the signal is not known then.
    """
    value = scene.value(path, t_s)
    if value is None:
        return ()
    return (Evidence(path, value, scene.channel(path).unit, against, t_s),)


def flowing(
    scene: Scene, name: str, t_s: float, against: float | None = None
) -> tuple[Evidence, ...]:
    """Read a power as evidence.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    name : str
        Name of the flow.
    t_s : float
        When [s].
    against : float, optional
        What it is held against [kW].

    Returns
    -------
    tuple of Evidence
        One piece of evidence; none if the power is not known then.
    """
    value = scene.power(name, t_s)
    return () if value is None else (Evidence(name, value, "kW", against, t_s),)


def turning(
    kind: str, edge: Edge, because: str, evidence: Sequence[Evidence]
) -> tuple[TurningPoint, ...]:
    """Make a turning point; none if it lies in too long a silence.

    Parameters
    ----------
    kind : str
        One of the story's kinds.
    edge : Edge
        When it was.
    because : str
        Why, in one sentence.
    evidence : sequence of Evidence
        What it rests on.

    Returns
    -------
    tuple of TurningPoint
        One, or none.
    """
    if edge.silence_s > threshold("longest_silence_s"):
        return ()
    if edge.silence_s:
        because = (
            f"{because} It happened within {lasting(edge.silence_s)} without data; "
            "the time is the middle of them."
        )
    return (TurningPoint(kind, edge.t_s, edge.plus_minus_s, because, tuple(evidence)),)


def charge_reached(scene: Scene, t_s: float) -> list[Cause]:
    """Tell whether the charge had reached its target.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    t_s : float
        When [s].

    Returns
    -------
    list of Cause
        One, or none.
    """
    shown = names.CHARGE_SHOWN if names.CHARGE_SHOWN in scene.signals else names.CHARGE_PHYSICAL
    charge, limit = scene.value(shown, t_s), scene.value(names.CHARGE_TARGET, t_s)
    if charge is None or limit is None or charge < limit - threshold("target_margin_percent"):
        return []
    text = f"The charge reached {percent(charge)}, its target of {percent(limit)}."
    return [Cause(t_s - 1.0, text, seen(scene, shown, t_s, limit))]


def silent(what: str, edge: Edge | None) -> tuple[Lost, ...]:
    """Say that a change lies in too long a silence to be told as one event.

    Parameters
    ----------
    what : str
        The turning point.
    edge : Edge or None
        When it was.

    Returns
    -------
    tuple of Lost
        One, or none.
    """
    if edge is None or edge.silence_s <= threshold("longest_silence_s"):
        return ()
    because = (
        f"{what} lies somewhere in {lasting(edge.silence_s)} without data around "
        f"{edge.t_s:.0f} s; more than one change may hide there."
    )
    return (Lost(what, because, "record without a pause"),)


def mean_over(values: NDArray[np.float64] | None, first: int, last: int) -> float | None:
    """Average what is known of some values over a span of ticks.

    Parameters
    ----------
    values : ndarray of float64 or None
        Values on the clock [unit].
    first, last : int
        First and last tick [1].

    Returns
    -------
    float or None
        The mean [unit]; None if nothing is known.
    """
    if values is None:
        return None
    part = values[first : last + 1]
    known = part[~np.isnan(part)]
    return float(known.mean()) if len(known) else None
