"""Study a library with so many workers, and measure what that takes."""

from __future__ import annotations

import os
import tempfile
import time
from contextlib import suppress
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import psutil

if TYPE_CHECKING:
    from thawline.fleet.fleet import Fleet
    from thawline.fleet.source import Source

MEGA = 1e6


@dataclass
class Took:
    """What a study took, in seconds: everything, and once all workers were there and warm."""

    workers: int
    whole_s: float = 0.0
    steady_s: float = 0.0
    #: Processor time of who asked, and of the workers, while steady [s].
    asking_s: float = 0.0
    working_s: float = 0.0
    #: Share of the machine's processor time that went to neither [1].
    others: float = 0.0
    #: Largest worker's resident memory, by share of all recordings that are looked at [MB].
    memory_MB: dict[int, float] = field(default_factory=dict)


def source_of(folder: Path, count: int | None = None) -> Source:
    """List a library, or the first so many recordings of it."""
    from dataclasses import replace

    from thawline.fleet.source import open_source

    found = open_source(str(folder))
    return found if count is None else replace(found, entries=found.entries[:count])


def resident_MB(pid: int) -> float:
    """Read a process's resident memory."""
    try:
        return float(psutil.Process(pid).memory_info().rss) / MEGA
    except psutil.Error:
        return 0.0


def _seconds(pids: list[int]) -> float:
    total = 0.0
    for pid in pids:
        with suppress(psutil.Error):
            used = psutil.Process(pid).cpu_times()
            total += used.user + used.system
    return total


def _busy() -> tuple[float, float]:
    """Seconds that all cores worked, and that they could have."""
    every = psutil.cpu_times()
    idle = every.idle + every.iowait
    return sum(every) - idle, sum(every)


def study(source: Source, workers: int, *, with_warm_ups: bool = False) -> tuple[Fleet, Took]:
    """Study recordings from nothing; give what was found and what it took."""
    from thawline.fleet import work
    from thawline.fleet.done import open_done
    from thawline.fleet.hire import hired
    from thawline.fleet.run import run
    from thawline.fleet.tables import write_tables

    took = Took(workers)
    begin = time.perf_counter()
    with (
        tempfile.TemporaryDirectory() as out,
        open_done(Path(out)) as done,
        hired(workers) as force,
    ):
        cluster: Any = force  # hired with workers it is a cluster
        pids = cluster.pids()
        list(force.each(work.look, [(source.entries[0].folder,)] * (8 * workers)))
        own, theirs, (busy, could) = time.process_time(), _seconds(pids), _busy()
        steady = time.perf_counter()

        def progress(stage: str, number: int, total: int) -> None:
            share = 100 * number // max(total, 1)
            if stage == "look" and share in (10, 50, 100) and share not in took.memory_MB:
                took.memory_MB[share] = max(resident_MB(pid) for pid in cluster.pids())

        found = run(source, force, done, progress, with_warm_ups=with_warm_ups)
        took.steady_s = time.perf_counter() - steady
        took.asking_s = time.process_time() - own
        took.working_s = _seconds(pids) - theirs
        now_busy, now_could = _busy()
        used = now_busy - busy - took.asking_s - took.working_s
        took.others = used / (now_could - could)
        write_tables(found, Path(out))
    took.whole_s = time.perf_counter() - begin
    print(
        f"  {workers} worker(s): {took.steady_s:6.1f} s ({took.whole_s:.1f} s with starting and "
        f"ending), {1e3 * took.steady_s / len(found.entries):5.1f} ms per recording; processor: "
        f"workers {took.working_s:.1f} s, asking {took.asking_s:.1f} s, others "
        f"{100 * took.others:.0f} %; {len(found.studies)} studied, {len(found.errors)} errors",
        flush=True,
    )
    return found, took


def one_thread() -> None:
    """Hold every process to one thread; two levels of parallelism fight for the same cores."""
    for name in ("OMP", "OPENBLAS", "MKL", "NUMEXPR"):
        os.environ.setdefault(f"{name}_NUM_THREADS", "1")
    os.environ.setdefault("POLARS_MAX_THREADS", "1")
