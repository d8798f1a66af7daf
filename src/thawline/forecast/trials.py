"""Score single forecasts of turning points, and sum the scores up."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from thawline.forecast.forecast import Forecast, PointAhead
from thawline.forecast.scores import coverage, crps_ensemble, interval_score

#: The interval p10 to p90 leaves out this share [1].
OUTSIDE = 0.2


@dataclass(frozen=True, slots=True)
class Trial:
    """One forecast of one turning point, and what came.

    Parameters
    ----------
    recording_id : str
        The recording.
    kind : str
        The turning point.
    level_kW : float or None
        The power asked for [kW].
    made_at_s : float
        When the forecast was made [s].
    came_at_s : float
        When it came [s].
    p10_s, p50_s, p90_s : float
        What was forecast; infinite for never [s].
    never : float
        The chance of never that was forecast [1].
    crps_s : float
        Continuous ranked probability score [s].
    interval_score_s : float
        Score of p10 to p90 [s].
    """

    recording_id: str
    kind: str
    level_kW: float | None
    made_at_s: float
    came_at_s: float
    p10_s: float
    p50_s: float
    p90_s: float
    never: float
    crps_s: float
    interval_score_s: float


@dataclass(frozen=True, slots=True)
class Score:
    """How good the forecasts of a turning point were.

    Parameters
    ----------
    kind : str
        The turning point, or ``all``.
    trials : int
        Forecasts that were scored [1].
    median_error_s : float
        Median absolute error of p50 [s].
    median_share : float
        Median absolute error of p50 over the time that was left [1].
    coverage : float
        Share of what came between p10 and p90; should be 0.8 [1].
    interval_score_s : float
        Mean interval score [s].
    crps_s : float
        Mean continuous ranked probability score [s].
    """

    kind: str
    trials: int
    median_error_s: float
    median_share: float
    coverage: float
    interval_score_s: float
    crps_s: float


def try_point(point: PointAhead, forecast: Forecast, came_s: float) -> Trial:
    """Score one forecast of one turning point.

    Parameters
    ----------
    point : PointAhead
        What was forecast.
    forecast : Forecast
        When, and how far ahead it looked; what may never come counts as coming there.
    came_s : float
        When it came [s].

    Returns
    -------
    Trial
        The forecast with its scores.
    """
    far = forecast.until_s
    low, middle, high = (
        np.inf if q is None else q for q in (point.p10_s, point.p50_s, point.p90_s)
    )
    return Trial(
        forecast.recording_id,
        point.kind,
        point.level_kW,
        forecast.made_at_s,
        came_s,
        low,
        middle,
        high,
        point.never,
        crps_ensemble(np.minimum(point.times_s, far), came_s),
        float(interval_score(min(low, far), min(high, far), came_s, OUTSIDE)),
    )


def score(trials: Sequence[Trial]) -> tuple[Score, ...]:
    """Sum up trials by turning point.

    Parameters
    ----------
    trials : sequence of Trial
        Trials, of one or many recordings.

    Returns
    -------
    tuple of Score
        One per turning point, then ``all``; empty if there are no trials.
    """
    if not trials:
        return ()
    kinds = list(dict.fromkeys(trial.kind for trial in trials))
    groups = {kind: [t for t in trials if t.kind == kind] for kind in kinds} | {"all": trials}
    found = []
    for kind, group in groups.items():
        came = np.array([t.came_at_s for t in group])
        error = np.abs(np.array([t.p50_s for t in group]) - came)
        left = came - np.array([t.made_at_s for t in group])
        low, high = np.array([t.p10_s for t in group]), np.array([t.p90_s for t in group])
        found.append(
            Score(
                kind,
                len(group),
                float(np.median(error)),
                float(np.median(error / left)),
                coverage(low, high, came),
                float(np.mean([t.interval_score_s for t in group])),
                float(np.mean([t.crps_s for t in group])),
            )
        )
    return tuple(found)
