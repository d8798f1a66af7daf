"""The rivals of a forecast: a straight line and an exponential, scored as the model is."""

from __future__ import annotations

import warnings
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from scipy.optimize import OptimizeWarning, curve_fit

from thawline.forecast.allowed import LearnedLimits, usual_limit
from thawline.forecast.backtest import Backtest, Trial, try_point
from thawline.forecast.beginnings import thresholds
from thawline.forecast.crossings import point_ahead
from thawline.forecast.cut import cut_at
from thawline.forecast.follow import heating_since
from thawline.forecast.forecast import Forecast
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story.tell import tell

MEMBERS = 400
WINDOW_S = 300.0
FARTHEST_S = 3600.0
COLD = "Powertrain.TractionBattery.Temperature.Min"
MEAN = "Powertrain.TractionBattery.Temperature.Average"
KINDS = ("regeneration-returns", "regeneration-at-kW", "coldest-cell-thaws", "charging-begins")
Sample = Callable[
    [np.ndarray, np.ndarray, float, float, np.ndarray, np.random.Generator], np.ndarray
]


def straight_line(
    t: np.ndarray, y: np.ndarray, begun: float, now: float, level: np.ndarray,
    rng: np.random.Generator,
) -> np.ndarray:  # fmt: skip
    """Extend the line through the last five minutes, with the uncertainty of its two numbers."""
    late = t > max(now - WINDOW_S, begun)
    if late.sum() < 8:
        return np.full(len(level), now + FARTHEST_S)
    (a, b), covariance = np.polyfit(t[late] - now, y[late], 1, cov=True)
    drawn = rng.multivariate_normal((a, b), covariance, size=len(level))
    with np.errstate(divide="ignore", invalid="ignore"):
        left = (level - drawn[:, 1]) / drawn[:, 0]
    left = np.where(drawn[:, 0] <= 0.0, FARTHEST_S, left)
    return now + np.clip(left, 0.0, FARTHEST_S)


def exponential(
    t: np.ndarray, y: np.ndarray, begun: float, now: float, level: np.ndarray,
    rng: np.random.Generator,
) -> np.ndarray:  # fmt: skip
    """Fit a dead time and an exponential to all readings since heating began, and extend it."""
    since = t >= begun
    x, z = t[since] - begun, y[since]
    if len(x) < 8:
        return np.full(len(level), now + FARTHEST_S)
    # initial slope, logarithm of the time constant, dead time: less entangled than end and rise
    low, high = (1e-5, np.log(300.0), 0.0), (0.1, np.log(5e4), max(float(x[-1]), 61.0))
    start = (max((z[-1] - z[0]) / max(float(x[-1]), 1.0), 2e-5), np.log(3000.0), 0.3 * x[-1])

    def curve(x: np.ndarray, slope: float, log_tau: float, dead: float) -> np.ndarray:
        tau = np.exp(log_tau)
        return z[0] + slope * tau * (1.0 - np.exp(-np.maximum(x - dead, 0.0) / tau))

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", OptimizeWarning)
            best, covariance = curve_fit(
                curve, x, z, p0=np.clip(start, low, high), bounds=(low, high)
            )
        drawn = rng.multivariate_normal(best, covariance, size=len(level), check_valid="ignore")
    except (RuntimeError, ValueError, np.linalg.LinAlgError):
        return np.full(len(level), now + FARTHEST_S)
    drawn = np.clip(np.where(np.isfinite(drawn), drawn, best), low, high)
    tau = np.exp(drawn[:, 1])
    with np.errstate(divide="ignore", invalid="ignore"):
        at = begun + drawn[:, 2] - tau * np.log(1.0 - (level - z[0]) / (drawn[:, 0] * tau))
    at = np.where(np.isfinite(at), at, now + FARTHEST_S)
    return np.clip(at, now, now + FARTHEST_S)


def levels_of(
    recording: Recording, limits: LearnedLimits | None, kind: str, level_kW: float | None,
    rng: np.random.Generator,
) -> np.ndarray:  # fmt: skip
    """Draw the temperature at which a turning point comes; the same for all rivals."""
    if kind == "coldest-cell-thaws":
        return np.zeros(MEMBERS)
    what = "charging" if kind == "charging-begins" else "regeneration"
    limit = (None if limits is None else getattr(limits, what)) or usual_limit(
        recording.vehicle, what
    )
    above = 0.0 if level_kW is None else limit.above_K(level_kW)
    return thresholds(limit, None, rng, (MEMBERS,)) + above


def rival(
    recording: Recording, told: Backtest, limits: LearnedLimits | None, method: Sample
) -> list[Trial]:
    """Let a rival forecast what the model forecast, at the same instants."""
    begun = heating_since(tell(recording, make_flows(recording))) or 0.0
    rng = np.random.default_rng(1)
    trials = []
    forecasts = {f.made_at_s: f for f in told.forecasts}
    for trial in told.trials:
        if trial.kind not in KINDS:
            continue
        part = cut_at(recording, trial.made_at_s)
        channel = part.channels.get(COLD) or part.channels.get(MEAN)
        if channel is None:
            continue
        level = levels_of(recording, limits, trial.kind, trial.level_kW, rng)
        times = method(channel.t, channel.values, begun, trial.made_at_s, level, rng)
        made: Forecast = replace(forecasts[trial.made_at_s], until_s=trial.made_at_s + FARTHEST_S)
        point = point_ahead(trial.kind, times, "", trial.level_kW)
        trials.append(try_point(point, made, trial.came_at_s))
    return trials


def within_reach(told: Backtest) -> list[Trial]:
    """Score the model as the rivals are: what never comes counts as coming after FARTHEST_S."""
    forecasts = {f.made_at_s: f for f in told.forecasts}
    trials = []
    for trial in told.trials:
        made = forecasts[trial.made_at_s]
        same = [
            p for p in made.turning_points if (p.kind, p.level_kW) == (trial.kind, trial.level_kW)
        ]
        near = replace(made, until_s=trial.made_at_s + FARTHEST_S)
        trials.append(try_point(same[0], near, trial.came_at_s))
    return trials
