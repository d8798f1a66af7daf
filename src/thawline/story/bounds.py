"""Limits that may keep something from being more, and the choice among them."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.story.figures import kilowatt
from thawline.story.scene import Scene
from thawline.story.story import Evidence, WhyNot
from thawline.story.thresholds import threshold
from thawline.story.told import mean_over


@dataclass(frozen=True, slots=True)
class Bound:
    """A limit.

    Parameters
    ----------
    limit : str
        One of the limits of ``WhyNot``.
    allowed_kW : float
        What it allows [kW].
    because : str
        The limit in words, without a capital and a stop.
    evidence : tuple of Evidence
        What it rests on.
    """

    limit: str
    allowed_kW: float
    because: str
    evidence: tuple[Evidence, ...] = ()


def around(scene: Scene, values: NDArray[np.float64] | None, i: int) -> float | None:
    """Average what is known around a tick.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    values : ndarray of float64 or None
        Values on the clock [unit].
    i : int
        The tick [1].

    Returns
    -------
    float or None
        The mean [unit]; None if nothing is known.
    """
    few = int(threshold("look_around_s") / scene.step_s)
    return mean_over(values, max(0, i - few), i + few)


def power_around(scene: Scene, name: str, i: int) -> float | None:
    """Average a power around a tick.

    Parameters
    ----------
    scene : Scene
        The recording on its clock.
    name : str
        Name of the flow.
    i : int
        The tick [1].

    Returns
    -------
    float or None
        The mean [kW]; None if it is not known.
    """
    flow = scene.flow(name)
    return None if flow is None else around(scene, flow.kW, i)


def near(allowed_kW: float, now_kW: float) -> bool:
    """Tell whether what flows is held by a limit: it lies near it, or above.

    Parameters
    ----------
    allowed_kW : float
        What the limit allows [kW].
    now_kW : float
        What flows [kW].

    Returns
    -------
    bool
        True if it does.
    """
    margin = threshold("bound_margin_kW") + threshold("bound_margin_share") * abs(allowed_kW)
    return now_kW >= allowed_kW - margin


def tightest(bounds: Sequence[Bound]) -> Bound | None:
    """Choose the limit that allows least; of equals the first.

    Parameters
    ----------
    bounds : sequence of Bound
        The limits, in order of preference.

    Returns
    -------
    Bound or None
        The tightest; None if there is none.
    """
    return min(bounds, key=lambda bound: round(bound.allowed_kW, 2), default=None)


def answer(
    what: str,
    t_s: float,
    now_kW: float | None,
    bound: Bound,
    remarks: Sequence[str] = (),
) -> WhyNot:
    """Put an answer into one sentence.

    Parameters
    ----------
    what : str
        ``charging``, ``regeneration`` or ``pack-heating``.
    t_s : float
        The instant [s].
    now_kW : float or None
        How much it is [kW].
    bound : Bound
        The limit that holds.
    remarks : sequence of str
        What else is worth knowing, without capitals and stops.

    Returns
    -------
    WhyNot
        The answer.
    """
    name = {"charging": "Charging", "regeneration": "Regeneration"}.get(what, "Pack heating")
    much = "not known" if now_kW is None else "0 kW" if now_kW < 0.05 else kilowatt(now_kW)
    text = "; ".join([f"{name} is {much}: {bound.because}", *remarks])
    return WhyNot(what, t_s, bound.limit, now_kW, text + ".", bound.evidence)
