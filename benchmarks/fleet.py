"""How a library and a fleet grow: cost per recording, one worker against two, a whole campaign.

    python benchmarks/fleet.py workers  --keep FOLDER [--count 400] [--repeat 3]
    python benchmarks/fleet.py campaign --keep FOLDER [--count 5000] [--for 420]
    python benchmarks/fleet.py equal    --keep FOLDER
    python benchmarks/fleet.py grow     --keep FOLDER [--sizes 100 1000 10000]
    python benchmarks/fleet.py borrow   --keep FOLDER [--for 240]

The mornings are simulated, each by itself (``fleet_mornings.py``), and kept in the folder, so
that making them goes on where it broke off. ``workers``: the same recordings with one worker and
with two, each process with one thread, in one run; the clock runs from when all workers are there
and warm to when all is learned, and is told with starting and ending as well. Processor time that
went to other programs is told too: with more than a few percent the ratio tells little.
``campaign``: one run over all of them, in slices of so many seconds; call it until it is done.
``equal``: the vehicles of a model, studied by one process, against the campaign, to the last
digit. ``grow``: adding, opening, listing, filtering and reading figures at 10^2, 10^3 and 10^4
recordings of a minute, and studying as many of five minutes (two thousand, named again as other
vehicles' until there are enough). ``borrow``: first mornings of vehicles
that were not in the campaign, forecast with and without what it taught of their model.
"""

from __future__ import annotations

import argparse
import sys
import tempfile
import time
from contextlib import suppress
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
from thawline.errors import LibraryError

if TYPE_CHECKING:
    from thawline.fleet.source import Source
    from thawline.library.derived import Derived
    from thawline.recording.recording import Recording

#: Pieces of recordings that a growing fleet is made of [1], how long [s]; adds that are timed [1].
PIECES, PIECE_S, LAST = 2000, 300.0, 100


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


def pieces(folder: Path) -> Source:
    """Keep some recordings cut to their first minutes, once, and list them."""
    from thawline.library.add import add_recording
    from thawline.library.cut import cut_at
    from thawline.library.library import open_library
    from thawline.library.listing import listing
    from thawline.library.load import load

    whole, kept = open_library(folder / "library"), open_library(folder / "pieces")
    names = [entry.id for entry in listing(whole)]
    for number in range(len(listing(kept)), PIECES):
        with suppress(LibraryError):  # one that is damaged
            one = load(whole, names[number % len(names)])
            cut = cut_at(one, min(PIECE_S, one.duration_s))
            add_recording(kept, replace(cut, id=f"piece-{number:05d}"), f"{number:064x}")
    return source_of(folder / "pieces")


def repeated(source: Source, count: int) -> Source:
    """Name recordings again, as other vehicles', until there are so many."""
    entries = [
        replace(entry, id=f"{entry.id}-{again}", vehicle=f"{entry.vehicle} {again}",
                content_key=f"{entry.content_key}-{again}")
        for again in range(1 + count // len(source.entries))
        for entry in source.entries
    ]  # fmt: skip
    return replace(source, entries=tuple(entries[:count]))


def catalogued(short: Recording, count: int, told: Derived) -> dict[str, float]:
    """Fill a library with short recordings, and time what asks its catalogue [ms]."""
    from thawline.library.add import add_recording
    from thawline.library.derived import Wanted, derived_like, keep_derived
    from thawline.library.library import open_library
    from thawline.library.listing import listing
    from thawline.trends.kept import known_studies
    from thawline.trends.version import code_version

    with tempfile.TemporaryDirectory() as place:
        library, times = open_library(Path(place)), []
        for number in range(count):
            car = replace(short.vehicle, name=f"Petrel {number % 100}")
            one = replace(short, id=f"one-{number:05d}", vehicle=car,
                          starts_at=1.7e9 + 1000.0 * number)  # fmt: skip
            begin = time.perf_counter()
            add_recording(library, one, f"{number:064x}")
            times.append(1e3 * (time.perf_counter() - begin))
        keep_derived(library, code_version(), [
            replace(told, recording_id=f"one-{n:05d}", outside_degC=-5.0 + 0.001 * n)
            for n in range(count)
        ])  # fmt: skip
        wanted = Wanted((-5.0, -4.95))
        timed = {"add": float(np.median(times[-LAST:]))}
        for what, task in (
            ("open", partial(open_library, Path(place))),
            ("list", partial(listing, library)),
            ("filter", partial(derived_like, library, code_version(), wanted)),
            ("figures", partial(known_studies, library)),
        ):
            begin = time.perf_counter()
            task()
            timed[what] = 1e3 * (time.perf_counter() - begin)
    return timed


def grow(folder: Path, sizes: list[int]) -> None:
    """Print the cost per recording as the library grows."""
    from thawline.library.cut import cut_at
    from thawline.library.load import load_folder
    from thawline.trends.study import Study, derived_from, look_at

    source = pieces(folder)
    one = load_folder(Path(source.entries[0].folder))
    told = derived_from(Study(look_at(one), ()))
    print("recordings   add, ms   open, ms   list, ms   filter, ms   figures, ms   "
          "list/rec., µs   figures/rec., µs")  # fmt: skip
    for count in sizes:
        timed = catalogued(cut_at(one, 60.0), count, told)
        print(f"{count:10d} {timed['add']:9.2f} {timed['open']:10.1f} {timed['list']:10.1f} "
              f"{timed['filter']:12.1f} {timed['figures']:13.1f} "
              f"{1e3 * timed['list'] / count:15.1f} {1e3 * timed['figures'] / count:18.1f}",
              flush=True)  # fmt: skip
    for count in sizes:
        took = study(repeated(source, count), 2)[1]
        print(f"{count:10d} studied: {1e3 * took.steady_s / count:.1f} ms per recording, "
              f"processor {1e3 * took.working_s / count:.1f} ms; memory {took.memory_MB}",
              flush=True)  # fmt: skip


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
        grow(told.keep, told.sizes)
    else:
        borrow(told.keep, told.for_s)


if __name__ == "__main__":
    main()
