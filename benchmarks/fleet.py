"""How a library and a fleet grow: cost per recording, one worker against two, memory.

Run: ``python benchmarks/fleet.py [grow|workers|campaign] [recordings]``. Simulates a few dozen
mornings of the demo's vehicles with random weather, cut to 20 minutes and thinned to one sample a
second, and derives variants of them: other names and dates, temperatures shifted and numbers
scaled a little. Variants are cheap to make and no two are equal, but there are only so many
different mornings beneath: the figures are for speed and memory, and tell nothing of detection.

``grow``: adding, listing, filtering and reading figures at 10^2, 10^3 and 10^4 recordings (empty
figures are kept for those that are only listed). ``workers``: the same fleet with one worker and
with two, each process with one thread, in one run; the ratio and the workers' memory over time.
``campaign``: one run over many recordings (5,000 by default).
"""

from __future__ import annotations

import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from thawline.library.library import Library
    from thawline.recording.recording import Recording

MINUTES, DAY_S, STAGGER_S = 20.0, 86_400.0, 60.0
BASES, VEHICLES = 24, 40
STEP_S = 1.0


def bases(count: int) -> list[Recording]:
    """Simulate mornings with random weather, each from real bus frames."""
    from thawline.recording.gather import gather
    from thawline.signals.database import read_database
    from thawline.simulator.demo import mornings, vehicle
    from thawline.simulator.run import simulate
    from thawline.simulator.write import write
    from thawline.vehicle.read import read_vehicle

    chance = np.random.default_rng(0)
    found = []
    scenarios = list(mornings())
    for number in range(count):
        name, scenario = scenarios[number % len(scenarios)]
        build, layout = vehicle(name)
        degC = float(chance.uniform(-16.0, -2.0))
        scenario = replace(
            scenario,
            duration_s=60.0 * MINUTES,
            seed=int(chance.integers(1 << 30)),
            ambient_degC=degC,
            soak_degC=degC + float(chance.uniform(0.0, 2.0)),
        )
        with tempfile.TemporaryDirectory() as folder:
            written = write(simulate(build, scenario), layout, Path(folder))
            recording = gather(
                [written.log],
                read_vehicle(written.vehicle_file),
                read_database([written.database]),
            )
        found.append(thinned(recording))
    return found


def thinned(recording: Recording) -> Recording:
    """Keep a sample a second, as a table would."""
    channels = {}
    for path, channel in recording.channels.items():
        every = np.searchsorted(channel.t, np.arange(0.0, recording.duration_s, STEP_S))
        at = np.unique(np.minimum(every, len(channel.t) - 1))
        channels[path] = replace(channel, t=channel.t[at], values=channel.values[at])
    return replace(recording, channels=channels)


def variants(mornings: list[Recording], count: int) -> Iterator[tuple[Recording, str]]:
    """Derive recordings: other vehicles of the same models, other days, a shift and noise."""
    chance = np.random.default_rng(1)
    for number in range(count):
        base = mornings[number % len(mornings)]
        car = number // len(mornings) % VEHICLES
        shift = chance.normal(0.0, 0.3)
        channels = {}
        for path, channel in base.channels.items():
            values = channel.values
            if path.endswith((".Min", ".Max", ".Average", "AirTemperature")):
                values = values + shift
            elif not channel.is_state and channel.resolution > 0.0:
                values = values * (1.0 + 0.002 * chance.normal())
            channels[path] = replace(channel, values=values)
        model = base.vehicle.name
        name = f"{model} {car:02d}"
        made = replace(
            base,
            id=f"{model.lower()}-{car:02d}-{number:05d}",
            vehicle=replace(base.vehicle, name=name, model=model),
            starts_at=1.7e9 + STAGGER_S * number + DAY_S * (number // len(mornings)),
            channels=channels,
        )
        yield made, f"{number:064x}"


def fill(folder: Path, mornings: list[Recording], count: int) -> tuple[Library, float]:
    """Keep variants in a library; give the seconds for each, the last hundred only."""
    from thawline.library.add import add_recording
    from thawline.library.library import open_library

    library = open_library(folder)
    times = []
    for made, key in variants(mornings, count):
        begin = time.perf_counter()
        add_recording(library, made, key)
        times.append(time.perf_counter() - begin)
    return library, float(np.median(times[-100:]))


def grow() -> None:
    """Print the cost per recording as the library grows."""
    from thawline.library.derived import Derived, Wanted, derived_like, keep_derived
    from thawline.library.library import open_library
    from thawline.library.listing import listing
    from thawline.trends.kept import known_studies
    from thawline.trends.study import Study, derived_from, look_at
    from thawline.trends.version import code_version

    mornings = bases(5)
    # a short piece of each: what grows here is the catalogue, not the samples
    short = [
        replace(m, channels={p: replace(c, t=c.t[:60], values=c.values[:60])
                             for p, c in m.channels.items()})
        for m in mornings
    ]  # fmt: skip
    row = derived_from(Study(look_at(mornings[0]), ()))
    print("recordings   add, ms   open, ms   list, ms   filter, ms   figures, ms   "
          "figures/recording, µs")  # fmt: skip
    for count in (100, 1000, 10_000):
        with tempfile.TemporaryDirectory() as folder:
            library, add_s = fill(Path(folder), short, count)
            names = [entry.id for entry in listing(library)]
            keep_derived(library, code_version(), [
                Derived(name, {**row.told, "morning": {**row.told["morning"], "recording": name}},
                        -5.0 + 0.001 * i, 5.0, True, ()) for i, name in enumerate(names)
            ])  # fmt: skip
            wanted, code = Wanted((-5.0, -4.95)), code_version()
            timed = {}
            for what, task in (
                ("open", partial(open_library, Path(folder))),
                ("list", partial(listing, library)),
                ("filter", partial(derived_like, library, code, wanted)),
                ("figures", partial(known_studies, library)),
            ):
                begin = time.perf_counter()
                task()
                timed[what] = 1e3 * (time.perf_counter() - begin)
            print(f"{count:10d} {1e3 * add_s:9.2f} {timed['open']:10.1f} {timed['list']:10.1f} "
                  f"{timed['filter']:12.1f} {timed['figures']:13.1f} "
                  f"{1e3 * timed['figures'] / count:12.1f}")  # fmt: skip


def study(library: Library, workers: int, *, with_warm_ups: bool) -> tuple[float, list[float]]:
    """Study a fleet; give the seconds without hiring, and the workers' memory over time [MB]."""
    from thawline.fleet.done import open_done
    from thawline.fleet.hire import hired
    from thawline.fleet.run import run
    from thawline.fleet.source import open_source
    from thawline.fleet.tables import write_tables

    memory: list[float] = []
    with (
        tempfile.TemporaryDirectory() as out,
        open_done(Path(out)) as done,
        hired(workers) as force,
    ):
        pids = force.pids()  # type: ignore[attr-defined]  # hired with workers it is a cluster
        list(force.each(abs, [(-1,)] * workers))

        def progress(_stage: str, number: int, total: int) -> None:
            if number % max(total // 10, 1) == 0:
                memory.append(max(resident_MB(pid) for pid in pids))

        begin, own = time.perf_counter(), time.process_time()
        found = run(open_source(str(library.folder)), force, done, progress,
                    with_warm_ups=with_warm_ups)  # fmt: skip
        seconds, own = time.perf_counter() - begin, time.process_time() - own
        write_tables(found, Path(out))
    each_ms = 1e3 * seconds / len(found.entries)
    print(
        f"  {workers} worker(s): {seconds:.1f} s, {each_ms:.0f} ms per recording, "
        f"{len(found.studies)} studied, {len(found.errors)} errors; asking took {own:.1f} s",
        flush=True,
    )
    return seconds, memory


def resident_MB(pid: int) -> float:
    """Read a process's resident memory."""
    import psutil

    try:
        return float(psutil.Process(pid).memory_info().rss) / 1e6
    except psutil.Error:
        return 0.0


def workers(count: int) -> None:
    """Print the ratio of one worker to two."""
    with tempfile.TemporaryDirectory() as folder:
        library, _ = fill(Path(folder), bases(BASES), count)
        one, _ = study(library, 1, with_warm_ups=False)
        two, memory = study(library, 2, with_warm_ups=False)
        print(f"  one worker against two: {one / two:.2f} times")
        print("  largest worker, MB: " + " ".join(f"{each:.0f}" for each in memory))


def campaign(count: int) -> None:
    """Print how one run over many recordings goes."""
    with tempfile.TemporaryDirectory() as folder:
        begin = time.perf_counter()
        library, _ = fill(Path(folder), bases(BASES), count)
        print(f"  {count} recordings made in {time.perf_counter() - begin:.0f} s", flush=True)
        _, memory = study(library, 2, with_warm_ups=False)
        print("  largest worker, MB: " + " ".join(f"{each:.0f}" for each in memory))


if __name__ == "__main__":
    what = sys.argv[1] if len(sys.argv) > 1 else "grow"
    size = (
        int(sys.argv[2]) if len(sys.argv) > 2 else {"workers": 120, "campaign": 5000}.get(what, 0)
    )
    if what == "grow":
        grow()
    else:
        {"workers": workers, "campaign": campaign}[what](size)
