"""Replay a recording, forecast as one would have, and hold it against what came."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.cut import cut_at
from thawline.forecast.follow import follow, heating_since
from thawline.forecast.forecast import Forecast, PointAhead
from thawline.forecast.look_ahead import look_ahead
from thawline.forecast.scores import coverage, crps_ensemble, interval_score
from thawline.forecast.settings import setting
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story import names
from thawline.story.story import Story
from thawline.story.tell import tell
from thawline.warmup.prior import Prior
from thawline.warmup.warmup import WarmUp

Array = NDArray[np.float64]
#: A turning point by kind and level [kW].
Key = tuple[str, float | None]
Progress = Callable[[int, int], None]
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


@dataclass(frozen=True, slots=True)
class Backtest:
    """Forecasts of the past held against what came.

    Parameters
    ----------
    recording_ids : tuple of str
        The recordings.
    forecasts : tuple of Forecast
        All that were made, for the chart.
    came : mapping of (str, float or None) to float
        When each turning point came, of the last recording [s].
    trials : tuple of Trial
        What was scored.
    scores : tuple of Score
        One per turning point, then ``all``.
    """

    recording_ids: tuple[str, ...]
    forecasts: tuple[Forecast, ...]
    came: Mapping[Key, float]
    trials: tuple[Trial, ...]
    scores: tuple[Score, ...]


def what_came(recording: Recording, story: Story, levels_kW: Sequence[float]) -> dict[Key, float]:
    """Find when each turning point came.

    Parameters
    ----------
    recording : Recording
        The whole recording.
    story : Story
        Its story.
    levels_kW : sequence of float
        Regenerative powers that are asked for [kW].

    Returns
    -------
    dict of (str, float or None) to float
        Times [s]; what did not come is absent.
    """
    came: dict[Key, float] = {}
    for point in story.turning_points:
        came.setdefault((point.kind, None), point.t_s)
    channel = recording.channels.get(names.REGENERATION_LIMIT)
    if channel is not None:
        for level in levels_kW:
            high = np.flatnonzero(channel.values >= level)
            if len(high) and high[0] > 0:
                came["regeneration-at-kW", level] = float(channel.t[high[0]])
    return came


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


def _instants(recording: Recording, story: Story, every_s: float) -> Array:
    begun = heating_since(story)
    first = every_s if begun is None else max(every_s, begun - 2.0 * every_s)
    return np.arange(first, recording.duration_s, every_s)


def backtest(
    recording: Recording,
    every_s: float = 30.0,
    prior: Prior | None = None,
    limits: LearnedLimits | None = None,
    levels_kW: Sequence[float] = (),
    progress: Progress | None = None,
) -> Backtest:
    """Replay a recording and score the forecasts that would have been made.

    Each forecast sees the recording cut at its instant and nothing else. Scored are those from
    four minutes after heating begins until what they foretell comes.

    Parameters
    ----------
    recording : Recording
        The recording.
    every_s : float
        Time between forecasts [s].
    prior : Prior, optional
        What earlier mornings taught of the model.
    limits : LearnedLimits, optional
        What they taught of limits and habits.
    levels_kW : sequence of float
        Regenerative powers that are asked for [kW].
    progress : callable, optional
        Called with the forecasts done and the forecasts in all.

    Returns
    -------
    Backtest
        Forecasts, what came, and the scores.
    """
    story = tell(recording, make_flows(recording))
    came, begun = what_came(recording, story, levels_kW), heating_since(story)
    last = max((t for (kind, _), t in came.items() if kind not in ENDINGS), default=np.inf)
    instants = [t for t in _instants(recording, story, every_s) if t < last]
    forecasts: list[Forecast] = []
    trials: list[Trial] = []
    warmup: WarmUp | None = None
    needs_fit = False
    for number, now in enumerate(instants):
        part = cut_at(recording, float(now))
        flows = make_flows(part)
        told = tell(part, flows)
        warmup = follow(part, flows, told, warmup, prior, float(now), needs_fit=needs_fit)
        forecast = look_ahead(part, flows, told, warmup, limits, float(now), levels_kW)
        needs_fit = forecast.needs_fit
        forecasts.append(forecast)
        if begun is not None and now >= begun + setting("scored_from_s"):
            for point in forecast.turning_points:
                at = came.get((point.kind, point.level_kW))
                if at is not None and not point.is_past and at > now + setting("scored_least_s"):
                    trials.append(try_point(point, forecast, at))
        if progress is not None:
            progress(number + 1, len(instants))
    return Backtest((recording.id,), tuple(forecasts), came, tuple(trials), score(trials))


#: Turning points after which nothing is left to foretell.
ENDINGS = {
    "unplugged",
    "drive-begins",
    "drive-ends",
    "charging-ends",
    "pack-heating-ends",
    "supply-lost",
    "supply-back",
    "plugged-in",
    "pack-heating-begins",
}


def together(backtests: Sequence[Backtest]) -> Backtest:
    """Put backtests of many recordings together.

    Parameters
    ----------
    backtests : sequence of Backtest
        One per recording.

    Returns
    -------
    Backtest
        All forecasts and trials, scored as one; ``came`` is the last recording's.
    """
    trials = tuple(trial for one in backtests for trial in one.trials)
    return Backtest(
        tuple(name for one in backtests for name in one.recording_ids),
        tuple(f for one in backtests for f in one.forecasts),
        backtests[-1].came if backtests else {},
        trials,
        score(trials),
    )
