"""What a forecast expected, laid on the strip of the recording beside what came."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from thawline.forecast.forecast import Forecast
from thawline.report.forecast_page import name_of
from thawline.report.moments import Moments
from thawline.report.numbers import number
from thawline.web.held import Held


@dataclass(frozen=True, slots=True)
class Expected:
    """A turning point that a forecast expected, on the strip of the recording.

    Parameters
    ----------
    title : str
        Which one.
    left, width, middle : float
        Where its band from 10 to 90 % lies, and its 50 %, in hundredths of the strip [%].
    came : float or None
        Where it really came, if it did [%].
    words : str
        The same in words.
    is_open : bool
        Whether the band goes on behind the strip's end.
    """

    title: str
    left: float
    width: float
    middle: float | None
    came: float | None
    words: str
    is_open: bool


def expected_of(found: Forecast, held: Held) -> list[Expected]:
    """Lay what a forecast expected on the strip of the recording.

    Parameters
    ----------
    found : Forecast
        The forecast.
    held : Held
        The explained recording, which knows what came.

    Returns
    -------
    list of Expected
        Turning points that were still to come.
    """
    length = max(held.explained.recording.duration_s, 1.0)
    came: dict[str, float] = {}
    for point in held.explained.story.turning_points:
        if point.t_s >= found.made_at_s:
            came.setdefault(point.kind, point.t_s)
    laid = []
    for ahead in found.turning_points:
        if ahead.is_past:
            continue
        early, middle, late = (
            None if t is None or not np.isfinite(t) else 100.0 * t / length
            for t in (ahead.p10_s, ahead.p50_s, ahead.p90_s)
        )
        there = None if ahead.level_kW is not None else came.get(ahead.kind)
        words = _came_words(there, found, held.moments)
        if early is None or early >= 100.0:
            laid.append(
                Expected(
                    name_of(ahead.kind, ahead.level_kW),
                    100.0,
                    0.0,
                    None,
                    None if there is None else 100.0 * there / length,
                    words,
                    True,
                )
            )
            continue
        end = 100.0 if late is None else min(late, 100.0)
        laid.append(
            Expected(
                name_of(ahead.kind, ahead.level_kW),
                early,
                end - early,
                middle if middle is not None and middle <= 100.0 else None,
                None if there is None else 100.0 * there / length,
                words,
                late is None or late > 100.0,
            )
        )
    return laid


def _came_words(there: float | None, found: Forecast, moments: Moments) -> str:
    if there is None:
        return "did not come in this recording"
    waited = number((there - found.made_at_s) / 60.0, 1)
    return f"came at {moments.clock(there)}, after {waited} min"
