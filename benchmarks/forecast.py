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
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

import numpy as np
from benchmarks.forecast_rivals import KINDS, exponential, rival, straight_line, within_reach

from tests.simulator.strange_mornings import strange
from tests.strange_cars import _plugs, strange_car, strange_morning
from thawline.forecast.allowed import LearnedLimits
from thawline.forecast.backtest import Backtest, Score, Trial, backtest, score, together
from thawline.forecast.cut import cut_at
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
#: An update comes so long after the forecast before it [s].
UPDATED_S = 10.0
#: Processor's time of a fit and of an update [s].
Times = tuple[float, float]


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
