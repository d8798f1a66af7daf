"""Forecasts against a straight line and an exponential, on the same mornings, by the same scores.

Run from the project's folder: ``python -m benchmarks.forecast --set hold-out --every 60``. Cars
and mornings are those of ``tests/strange_cars.py``. The seeds of the development set were
looked at while the forecast was worked on; those of the hold-out set never were. Each car has
two earlier mornings to learn from unless ``--alone`` is given; the rivals take the same limits
by temperature from them. At the end stands what must hold, with what was found.
"""

from __future__ import annotations

import argparse
import tempfile
import time
import warnings
from collections.abc import Callable, Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from scipy.optimize import OptimizeWarning, curve_fit

from tests.simulator.strange_mornings import strange
from tests.strange_cars import _plugs, strange_car, strange_morning
from thawline.forecast.allowed import LearnedLimits, usual_limit
from thawline.forecast.backtest import Backtest, Score, Trial, backtest, score, together, try_point
from thawline.forecast.beginnings import thresholds
from thawline.forecast.crossings import point_ahead
from thawline.forecast.cut import cut_at
from thawline.forecast.follow import heating_since
from thawline.forecast.forecast import Forecast
from thawline.forecast.from_learned import learn_earlier_limits
from thawline.forecast.look_ahead import look_ahead
from thawline.recording.flows import make_flows
from thawline.recording.gather import gather
from thawline.recording.recording import Recording
from thawline.signals.database import read_database
from thawline.simulator.run import simulate
from thawline.simulator.scenario import Scenario
from thawline.simulator.write import write
from thawline.story.tell import tell
from thawline.vehicle.read import read_vehicle
from thawline.warmup.fit import fit
from thawline.warmup.mornings import prior_from
from thawline.warmup.prior import Prior
from thawline.warmup.warmup import WarmUp

#: Seeds from, to: watched while working, and never watched.
SETS = {"development": (6001, 6016), "hold-out": (7131, 7143)}
MEMBERS = 400
WINDOW_S = 300.0
FARTHEST_S = 3600.0
#: An update comes so long after the forecast before it [s].
UPDATED_S = 10.0
COLD = "Powertrain.TractionBattery.Temperature.Min"
MEAN = "Powertrain.TractionBattery.Temperature.Average"
KINDS = ("regeneration-returns", "regeneration-at-kW", "coldest-cell-thaws", "charging-begins")
#: Processor's time of a fit and of an update [s].
Times = tuple[float, float]
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


def record(seed: int, number: int, folder: Path) -> Recording:
    """Simulate a morning of a strange car, write its files and read them back."""
    build, bus = strange_car(seed)
    phases, direct = _plugs(seed)
    scenario: Scenario = strange_morning(seed)
    if number:
        scenario = strange(np.random.default_rng([seed, 3, number]), seed, phases, direct)
    here = folder / f"{seed}-{number}"
    here.mkdir()
    files = write(simulate(build, scenario), bus, here, 0.0)
    vehicle = read_vehicle(files.vehicle_file)
    read = gather([files.log], vehicle, read_database([files.database]))
    return replace(read, id=f"{seed}-{number}")


def show(name: str, scores: Sequence[Score]) -> None:
    """Print a table of scores."""
    print(f"{name}")
    for one in scores:
        print(
            f"  {one.kind:24s} n {one.trials:4d}  median error {one.median_error_s:6.0f} s "
            f"({100 * one.median_share:5.1f} % of what is left)  coverage {one.coverage:4.2f}  "
            f"interval score {one.interval_score_s:7.0f} s  CRPS {one.crps_s:6.1f} s"
        )


def first_guesses(
    recording: Recording, told: Backtest, prior: Prior | None, limits: LearnedLimits | None
) -> list[float]:
    """Give what is foretold just before heating over what was left, from priors alone."""
    begun = told.came.get(("pack-heating-begins", None))
    if begun is None or begun < 15.0:
        return []
    part = cut_at(recording, begun - 10.0)
    flows = make_flows(part)
    story = tell(part, flows)
    made = look_ahead(part, flows, story, fit(part, flows, story, prior), limits, part.duration_s)
    found = []
    for point in made.turning_points:
        came = told.came.get((point.kind, None))
        wanted = point.kind in ("coldest-cell-thaws", "regeneration-returns")
        if wanted and came is not None and point.p50_s is not None and not point.is_past:
            found.append((point.p50_s - made.made_at_s) / (came - made.made_at_s))
    return found


def timings(recording: Recording, prior: Prior | None, limits: LearnedLimits | None) -> Times:
    """Take the processor's time of a fit, and of an update ten seconds later, at the end."""
    end = recording.duration_s
    flows = make_flows(recording)
    story = tell(recording, flows)
    fits, looks = [], []
    for _ in range(3):
        began = time.process_time()
        fit(recording, flows, story, prior)
        fits.append(time.process_time() - began)
    part = cut_at(recording, end - UPDATED_S)
    flown = make_flows(part)
    told = tell(part, flown)
    warmup = fit(part, flown, told, prior)
    before = look_ahead(part, flown, told, warmup, limits, end - UPDATED_S)
    for _ in range(3):
        began = time.process_time()
        look_ahead(recording, flows, story, warmup, limits, end, before=before)
        looks.append(time.process_time() - began)
    return min(fits), min(looks)


def must_hold(
    scores: Sequence[Score], ratio: float, guesses: Sequence[float], times: Sequence[Times]
) -> None:
    """Print what must hold, and what was found."""
    whole = scores[-1]
    factor = [max(g, 1.0 / g) if g > 0.0 else np.inf for g in guesses]
    within = float(np.mean(np.array(factor) <= 2.0)) if factor else float("nan")
    rows = [
        ("median error of p50", "45 s, or 8 % of what is left",
         f"{whole.median_error_s:.0f} s, {100 * whole.median_share:.1f} %",
         whole.median_error_s <= 45.0 or whole.median_share <= 0.08),
        ("came between p10 and p90", "70 to 90 %", f"{whole.coverage:.0%}",
         0.7 <= whole.coverage <= 0.9),
        ("CRPS over the better rival's", "at most 0.50", f"{ratio:.2f}", ratio <= 0.5),
        ("first guess, median factor", "at most 2",
         f"{np.median(factor) if factor else np.nan:.2f} ({within:.0%} within)",
         bool(factor) and float(np.median(factor)) <= 2.0),
    ]  # fmt: skip
    if times:
        fits, looks = (np.array(each) for each in zip(*times, strict=True))
        rows.append(("a fit of a whole morning, processor's time", "under 1 s",
                     f"{np.median(fits):.2f} s, most {fits.max():.2f} s",
                     fits.max() < 1.0))  # fmt: skip
        rows.append(("an update ten seconds later, processor's time", "under 50 ms",
                     f"{1e3 * np.median(looks):.0f} ms, most {1e3 * looks.max():.0f} ms",
                     looks.max() < 0.05))  # fmt: skip
    print("\nwhat must hold")
    for what, wanted, found, holds in rows:
        print(f"  {what:46s} {wanted:30s} {found:24s} {'holds' if holds else 'FAILS'}")


def main() -> None:
    """Run the comparison."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--set", choices=sorted(SETS), default="development")
    reader.add_argument("--cars", default="", help="seeds, from-to; instead of a set")
    reader.add_argument("--every", type=float, default=60.0, help="seconds between forecasts")
    reader.add_argument("--alone", action="store_true", help="without earlier mornings")
    chosen = reader.parse_args()
    first, last = SETS[chosen.set]
    if chosen.cars:
        first, last = (int(part) for part in chosen.cars.split("-"))
    ours: list[Backtest] = []
    lines: list[Trial] = []
    curves: list[Trial] = []
    guesses: list[float] = []
    times: list[Times] = []
    with tempfile.TemporaryDirectory() as folder:
        for seed in range(first, last + 1):
            now = record(seed, 0, Path(folder))
            limits = prior = None
            if not chosen.alone:
                earlier = [record(seed, number, Path(folder)) for number in (1, 2)]
                limits = learn_earlier_limits(earlier)
                prior = prior_from([_fit_whole(one) for one in earlier])
            told = backtest(now, chosen.every, prior, limits, (10.0,))
            ours.append(told)
            guesses += first_guesses(now, told, prior, limits)
            times.append(timings(now, prior, limits))
            lines += rival(now, told, limits, straight_line)
            curves += rival(now, told, limits, exponential)
            print(f"car {seed}: {len(told.trials)} scored forecasts", flush=True)
    everything = together(ours)
    same = [t for told in ours for t in within_reach(told) if t.kind in KINDS]
    if not same:
        print("nothing to score")
        return
    show("warm-up model, all it foretells", everything.scores)
    show("warm-up model, what the rivals foretell too", score(same))
    show("straight line through the last five minutes", score(lines))
    show("exponential since heating began", score(curves))
    better = min(np.mean([t.crps_s for t in lines]), np.mean([t.crps_s for t in curves]))
    ratio = float(np.mean([t.crps_s for t in same]) / better)
    must_hold(everything.scores, ratio, guesses, times)


def _fit_whole(recording: Recording) -> WarmUp:
    flows = make_flows(recording)
    return fit(recording, flows, tell(recording, flows))


if __name__ == "__main__":
    main()
