"""How a library and a fleet grow: cost per recording, one worker against two, a whole campaign.

    python benchmarks/fleet.py workers  --keep FOLDER [--count 400] [--repeat 3]
    python benchmarks/fleet.py campaign --keep FOLDER [--count 5000] [--for 420]
    python benchmarks/fleet.py equal    --keep FOLDER
    python benchmarks/fleet.py grow     --keep FOLDER [--sizes 100 1000 10000] [--for 240]
    python benchmarks/fleet.py borrow   --keep FOLDER [--for 240]

The mornings are simulated, each by itself (``fleet_mornings.py``), and kept in the folder, so
that making them goes on where it broke off. ``workers``: the same recordings with one worker and
with two, each process with one thread, in one run; the clock runs from when all workers are there
and warm to when all is learned, and is told with starting and ending as well. Processor time that
went to other programs is told too: with more than a few percent the ratio tells little.
``campaign``: one run over all of them, in slices of so many seconds; call it until it is done.
``equal``: the vehicles of a model, studied by one process, against the campaign, to the last
digit. ``grow``: adding, opening, listing, filtering, reading figures and studying at 10^2, 10^3
and 10^4 recordings, each cut to its first five minutes. ``borrow``: first mornings of vehicles
that were not in the campaign, forecast with and without what it taught of their model.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING

import numpy as np

sys.path.insert(0, str(Path(__file__).parent))

from fleet_borrow import borrow
from fleet_campaign import campaign, equality
from fleet_mornings import make
from fleet_study import Took, one_thread, source_of, study

if TYPE_CHECKING:
    from thawline.recording.recording import Recording

#: Pieces of recordings that a growing library is made of [s]; adds that are timed [1].
PIECE_S, LAST = 300.0, 100
DAY_S = 86_400.0


def workers(folder: Path, count: int, repeat: int) -> None:
    """Print the ratio of one worker to two, so many times."""
    make(folder, max(count, 400), time.time() + 1e9)
    source = source_of(folder / "library", count)
    pairs: list[tuple[Took, Took]] = []
    for _ in range(repeat):
        pairs.append((study(source, 1)[1], study(source, 2)[1]))
        one, two = pairs[-1]
        print(f"  one against two: {one.steady_s / two.steady_s:.2f} times steady, "
              f"{one.whole_s / two.whole_s:.2f} with starting and ending; "
              f"largest worker, MB by share done: {two.memory_MB}", flush=True)  # fmt: skip
    for what in ("steady_s", "whole_s"):
        ratios = sorted(getattr(one, what) / getattr(two, what) for one, two in pairs)
        print(f"  {what}: median {np.median(ratios):.2f}, from {ratios[0]:.2f} to {ratios[-1]:.2f}")


def pieces(folder: Path, count: int, known: int) -> Iterator[tuple[Recording, str]]:
    """Cut recordings to their first minutes; the second time round they are other vehicles'."""
    from thawline.errors import LibraryError
    from thawline.library.cut import cut_at
    from thawline.library.load import load_folder

    entries = source_of(folder / "library").entries
    for number in range(known, count):
        again, place = divmod(number, len(entries))
        whole = None
        while whole is None:  # one that is damaged is passed over
            try:
                whole = load_folder(Path(entries[place % len(entries)].folder))
            except LibraryError:
                place += 1
        name = whole.vehicle.name + (f" {again}" if again else "")
        yield (
            replace(
                cut_at(whole, min(PIECE_S, whole.duration_s)),
                id=f"piece-{number:05d}",
                vehicle=replace(whole.vehicle, name=name),
            ),
            f"{number:064x}",
        )


def grow(folder: Path, sizes: list[int], for_s: float) -> None:
    """Print the cost per recording as the library grows; adding goes on where it broke off."""
    from thawline.library.add import add_recording
    from thawline.library.derived import Wanted, derived_like
    from thawline.library.library import open_library
    from thawline.library.listing import listing
    from thawline.trends.kept import keep_studies, known_studies
    from thawline.trends.version import code_version

    print("recordings   add, ms   open, ms   list, ms   filter, ms   figures, ms   "
          "list/rec., µs   figures/rec., µs   study/rec., ms")  # fmt: skip
    until = time.time() + for_s
    for count in sizes:
        place = folder / f"pieces-{count}"
        library, times = open_library(place), [0.0]
        for made, key in pieces(folder, count, len(listing(library))):
            if time.time() > until:
                print(f"{len(listing(library))} of {count} are added: call it again")
                return
            begin = time.perf_counter()
            add_recording(library, made, key)
            times.append(1e3 * (time.perf_counter() - begin))
        kept = folder / f"add-{count}.txt"
        if len(times) > LAST:
            kept.write_text(f"{np.median(times[-LAST:])}", "utf-8")
        if np.isfinite(for_s) and len(times) > 1:
            print(f"all of {count} are added: call it again to study them")
            return
        add_ms = float(kept.read_text("utf-8")) if kept.exists() else np.nan
        found, took = study(source_of(place), 2)
        keep_studies(library, list(found.studies.values()))
        timed = {}
        for what, task in (
            ("open", partial(open_library, place)),
            ("list", partial(listing, library)),
            ("filter", partial(derived_like, library, code_version(), Wanted((-5.0, -4.5)))),
            ("figures", partial(known_studies, library)),
        ):
            begin = time.perf_counter()
            task()
            timed[what] = 1e3 * (time.perf_counter() - begin)
        print(f"{count:10d} {add_ms:9.2f} {timed['open']:10.1f} "
              f"{timed['list']:10.1f} {timed['filter']:12.1f} {timed['figures']:13.1f} "
              f"{1e3 * timed['list'] / count:15.1f} {1e3 * timed['figures'] / count:18.1f} "
              f"{1e3 * took.steady_s / count:16.1f}", flush=True)  # fmt: skip


def main() -> None:
    """Do what is asked for."""
    parser = argparse.ArgumentParser(description=__doc__.split("\n", 1)[0])
    parser.add_argument("what", choices=("workers", "campaign", "equal", "grow", "borrow"))
    parser.add_argument("--keep", type=Path, required=True, help="folder for the mornings")
    parser.add_argument("--count", type=int, help="recordings")
    parser.add_argument("--repeat", type=int, default=3, help="times, for workers")
    parser.add_argument(
        "--for", type=float, default=float("inf"), dest="for_s", help="seconds of a slice"
    )
    parser.add_argument("--sizes", type=int, nargs="+", default=[100, 1000, 10_000])
    told = parser.parse_args()
    one_thread()
    if told.what == "workers":
        workers(told.keep, told.count or 400, told.repeat)
    elif told.what == "campaign":
        done = campaign(told.keep, told.count or 5000, told.for_s)
        print("all is done" if done else "call it again: there is more to do")
    elif told.what == "equal":
        sys.exit(0 if equality(told.keep) else 1)
    elif told.what == "grow":
        grow(told.keep, told.sizes, told.for_s)
    else:
        borrow(told.keep, told.for_s)


if __name__ == "__main__":
    main()
