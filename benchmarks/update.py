"""What an update of a forecast costs at the end of an hour at 1 Hz, beside a library's filter.

Run from the project's folder: ``.venv/bin/python -m benchmarks.update``.

An update is what a page or a replay does when a few more seconds have come: powers, story and
forecast of the recording until now, with the fit of a while ago; new fits are timed apart. The
named library is statsmodels: its compiled filter runs the same model over the same hour in steps
of 1 s, once, and once for each of the parameter sets of our sample, as a library would that
knows of no going on. Times are the processor's, on this machine; ratios are of medians in one run.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

import numpy as np
from statsmodels.tsa.statespace.kalman_filter import KalmanFilter

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from tests.warmup.proving_car import Build, Morning, record
from thawline.forecast.cut import cut_at
from thawline.forecast.follow import is_due
from thawline.forecast.forecast import Forecast
from thawline.forecast.look_ahead import look_ahead
from thawline.forecast.settings import setting
from thawline.recording.flows import make_flows
from thawline.recording.recording import Recording
from thawline.story.tell import find_acts, tell
from thawline.warmup.case import make_case
from thawline.warmup.fit import fit
from thawline.warmup.network import at_first, readout, steps_of
from thawline.warmup.prior import to_values
from thawline.warmup.warmup import WarmUp

#: The hour, what came before heating with it [s]; where updates begin; cars in a climate that
#: leaves something to foretell then.
HOUR_S, BEGIN_S = 3660.0, 3500.0
ALONE = ("Coolant", "Rear.Temp", "Front.Temp", "Average")
COLD = {"start_degC": -24.0, "outside_degC": -25.0, "duration_s": HOUR_S + 400.0}
MORNINGS = {
    "all sensors, cabin heated": Morning(cabin_s=(200.0, 4000.0), **COLD),
    "all sensors": Morning(**COLD),
    "whole-degree coldest cell alone": Morning(
        leave_out=ALONE, steps={"Temperature.Min": 1.0}, **COLD
    ),
}
#: What must hold for an update and a fit [s].
MEDIAN_S, P95_S, FIT_S = 0.035, 0.050, 1.0


@dataclass
class Clock:
    """Processor times by what took them."""

    took: dict[str, list[float]]

    def time(self, name: str, work: Callable[[], object]) -> object:
        """Do some work and note how long it took."""
        began = time.process_time()
        done = work()
        self.took[name].append(time.process_time() - began)
        return done


def updates(recording: Recording, count: int, every_s: float, *, goes_on: bool) -> Clock:
    """Update again and again, as time goes on; new fits where they are due."""
    clock = Clock(defaultdict(list))
    forecast: Forecast | None = None
    warmup: WarmUp | None = None
    for now in BEGIN_S + every_s * np.arange(count + 1.0):
        part = clock.time(
            "cutting the recording (a replay only)", lambda at=now: cut_at(recording, at)
        )
        began = time.process_time()
        flows = clock.time("  powers", lambda p=part: make_flows(p))
        acts = clock.time("  what was on", lambda p=part, f=flows: find_acts(p, f))
        story = clock.time("  story", lambda p=part, f=flows, a=acts: tell(p, f, a))
        before = time.process_time() - began
        if is_due(warmup, story, now):
            warmup = clock.time(
                "a fit", lambda p=part, f=flows, s=story, at=now: fit(p, f, s, None, at)
            )
        began = time.process_time()
        forecast = look_ahead(
            part, flows, story, warmup, None, now, (10.0,), acts, forecast if goes_on else None
        )
        clock.took["  forecast"].append(time.process_time() - began)
        clock.took["an update"].append(before + clock.took["  forecast"][-1])
    for name, times in clock.took.items():
        if name != "a fit":
            del times[0]  # the first has nothing to go on from
    return clock


def library(recording: Recording) -> tuple[float, float]:
    """Time statsmodels' filter over the hour at 1 Hz: one set, and all sets of a sample."""
    part = cut_at(recording, BEGIN_S)
    flows = make_flows(part)
    story = tell(part, flows)
    warmup = fit(part, flows, story)
    case = make_case(part, flows, story, BEGIN_S)
    structure = warmup.structure
    p = to_values(structure.parameters, warmup.pack.mean[None, :])
    steps = steps_of(structure, p, case.grid.flows[-1:], case.grid.usual_heat_kW, 1.0)
    names = [s.name for s in case.seen if s.name in structure.seen]
    H = np.vstack([readout(structure, p, name).H for name in names])
    t = np.arange(1.0, BEGIN_S)
    y = np.array([np.interp(t, case.grid.ends, s.degC) for s in case.seen if s.name in names])
    y = np.where(np.isfinite(y), y, np.nan)
    u = np.stack([np.interp(t, case.grid.ends, column) for column in case.grid.inputs.T])
    mean, covariance = at_first(structure, case.seen, case.grid)
    n = len(structure.states)

    def run() -> None:
        model = KalmanFilter(len(names), n, nobs=len(t), tolerance=0.0)
        model.bind(np.asfortranarray(y))
        model["design"], model["transition"] = H, steps.F[0, 0]
        model["selection"], model["state_cov"] = np.eye(n), steps.Q[0, 0]
        model["state_intercept"] = steps.G[0, 0] @ u
        model["obs_cov"] = 0.04 * np.eye(len(names))
        model.initialize_known(mean, covariance)
        model.filter(conserve_memory=0)

    times = []
    for _ in range(7):
        began = time.process_time()
        run()
        times.append(time.process_time() - began)
    one = float(np.median(times))
    began = time.process_time()
    for _ in range(int(setting("sets"))):
        run()
    return one, time.process_time() - began


def main() -> int:
    """Time all of it; the exit code tells whether all holds."""
    reader = argparse.ArgumentParser(description=__doc__)
    reader.add_argument("--count", type=int, default=60, help="updates of each morning")
    reader.add_argument("--every", type=float, default=5.0, help="seconds between updates")
    chosen = reader.parse_args()
    holds = True
    for name, morning in MORNINGS.items():
        recording, _ = record(Build(pack_capacity=900.0, plate_conductance=0.6), morning)
        clock = updates(recording, chosen.count, chosen.every, goes_on=True)
        print(f"{name}: {chosen.count} updates, {chosen.every:g} s apart, from {BEGIN_S:g} s on")
        for what, times in clock.took.items():
            median, high = np.quantile(times, (0.5, 0.95))
            print(f"  {what:40s} median {1e3 * median:7.1f} ms   p95 {1e3 * high:7.1f} ms")
        median, high = np.quantile(clock.took["an update"], (0.5, 0.95))
        anew = updates(recording, max(3, chosen.count // 6), chosen.every, goes_on=False)
        whole = float(np.median(anew.took["an update"]))
        print(f"  an update that filters anew               median {1e3 * whole:7.1f} ms")
        one, all_sets = library(recording)
        print(
            f"  statsmodels' filter, the hour at 1 Hz      one set {1e3 * one:6.1f} ms   "
            f"{setting('sets'):.0f} sets {1e3 * all_sets:7.0f} ms\n"
            f"  an update over the library's one set {median / one:5.2f}, "
            f"over its {setting('sets'):.0f} sets {median / all_sets:6.4f}"
        )
        fits = clock.took["a fit"]
        good = median <= MEDIAN_S and high < P95_S and max(fits) < FIT_S
        holds &= good
        print(
            f"  must hold: median <= {1e3 * MEDIAN_S:.0f} ms, p95 < {1e3 * P95_S:.0f} ms, "
            f"a fit < {FIT_S:g} s: {'holds' if good else 'FAILS'}"
        )
    return 0 if holds else 1


if __name__ == "__main__":
    sys.exit(main())
