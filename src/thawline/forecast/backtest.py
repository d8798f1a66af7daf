"""Replay a recording, forecast as one would have, and hold it against what came."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.cut import cut_at
from thawline.forecast.follow import follow, heating_since
from thawline.forecast.forecast import Forecast
from thawline.forecast.look_ahead import look_ahead
from thawline.forecast.settings import setting
from thawline.forecast.trials import Score as Score
from thawline.forecast.trials import Trial as Trial
from thawline.forecast.trials import score as score
from thawline.forecast.trials import try_point as try_point
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story import names
from thawline.story.story import Story
from thawline.story.tell import find_acts, tell
from thawline.warmup.prior import Prior
from thawline.warmup.warmup import WarmUp

Array = NDArray[np.float64]
#: A turning point by kind and level [kW].
Key = tuple[str, float | None]
Progress = Callable[[int, int], None]


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
        Times [s]; what did not come is absent, and so is regeneration where no limit is
        recorded: the first time that it flows is the driver's doing.
    """
    came: dict[Key, float] = {}
    channel = recording.channels.get(names.REGENERATION_LIMIT)
    for point in story.turning_points:
        if point.kind != "regeneration-returns" or channel is not None:
            came.setdefault((point.kind, None), point.t_s)
    if channel is not None:
        for level in levels_kW:
            high = np.flatnonzero(channel.values >= level)
            if len(high) and high[0] > 0:
                came["regeneration-at-kW", level] = float(channel.t[high[0]])
    return came


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
    forecast: Forecast | None = None
    for number, now in enumerate(instants):
        part = cut_at(recording, float(now))
        flows = make_flows(part)
        acts = find_acts(part, flows)
        told = tell(part, flows, acts)
        warmup = follow(
            part, flows, told, warmup, prior, float(now),
            needs_fit=forecast is not None and forecast.needs_fit,
            keeps_fit=forecast is not None and forecast.keeps_fit,
        )  # fmt: skip
        forecast = look_ahead(
            part, flows, told, warmup, limits, float(now), levels_kW, acts, forecast
        )
        forecasts.append(forecast.alone())
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
