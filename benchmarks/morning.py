"""From a log of one hour at 1,000 frames a second to the explained page, stage by stage.

Run: ``python benchmarks/morning.py [frames per second]``. Simulates a morning of the demo's
Gannet, writes it as candump text with filler messages up to that rate, and measures in a
process of its own: read and decode to a recording, keep it, explain it, write the page, and
the peak memory. Beside it, in the same run, python-can's reader and cantools' decoder,
message by message, on the first frames of the same log, scaled to a rate; and decoding
alone, of the frames that the database knows, both routes from memory. Nothing is kept.
"""

from __future__ import annotations

import resource
import sys
import tempfile
import time
from dataclasses import replace
from itertools import islice
from pathlib import Path

SLICE = 60_000


def make(folder: Path, frames_per_s: float) -> tuple[Path, Path, Path]:
    """Write one hour of the first demo morning."""
    from thawline.simulator.demo import mornings, vehicle
    from thawline.simulator.run import simulate
    from thawline.simulator.write import write

    name, scenario = next(mornings())
    build, layout = vehicle(name)
    scenario = replace(scenario, duration_s=3600.0)
    written = write(simulate(build, scenario), layout, folder, frames_per_s)
    return written.log, written.database, written.vehicle_file


def measure(log: Path, database: Path, vehicle_file: Path, folder: Path) -> None:
    """Walk the whole way and print the seconds of each stage."""
    stages: list[tuple[str, float]] = []
    begin = last = time.perf_counter()

    def done(name: str) -> None:
        nonlocal last
        now = time.perf_counter()
        stages.append((name, now - last))
        last = now

    from thawline.library.library import open_library
    from thawline.library.load import load
    from thawline.report.page import page
    from thawline.walk import add, explain

    done("import")
    library = open_library(folder / "library")
    added = add([log], [database], vehicle_file, library)
    done("read, decode, keep")
    recording = load(library, added.recording.id)
    done("load")
    explained = explain(recording)
    done("explain")
    text = page(explained)
    (folder / "page.html").write_text(text, encoding="utf-8")
    done("page")
    total = time.perf_counter() - begin
    frames = recording.quality.frames
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    for name, seconds in stages:
        print(f"  {name:<20} {seconds:6.2f} s")
    print(f"  {'whole way':<20} {total:6.2f} s  {frames} frames, page {len(text) / 1e6:.1f} MB, "
          f"peak {peak:.0f} MB")  # fmt: skip
    print(f"READ {frames / stages[1][1]:.0f}")


def per_message(log: Path, database: Path) -> float:
    """Decode the first frames message by message and return frames per second."""
    import can
    import cantools.database

    known = cantools.database.load_file(database)
    ids = {message.frame_id for message in known.messages}  # type: ignore[union-attr]  # CAN only
    begin = time.perf_counter()
    count = decoded = 0
    with can.CanutilsLogReader(log) as reader:
        for frame in islice(reader, SLICE):
            count += 1
            if frame.arbitration_id in ids:
                decoded += 1
                known.decode_message(frame.arbitration_id, frame.data)  # type: ignore[union-attr]  # CAN only
    print(f"  (of the slice, {decoded / count:.0%} is in the database; the rest it only reads)")
    return count / (time.perf_counter() - begin)


def decode_alone(log: Path, database: Path) -> tuple[float, float]:
    """Decode the known frames of the log from memory; return frames per second, ours and theirs."""
    import cantools.database
    import numpy as np

    from thawline.signals.database import read_database
    from thawline.signals.decode import decode
    from thawline.sources.by_suffix import open_source
    from thawline.sources.frames import EXTENDED, Frames

    layouts = list(read_database([database]).signals.values())
    ids = np.unique([layout.identifier for layout in layouts]).astype(np.uint32)
    batches = []
    for frames in open_source(log):
        keep = np.isin(frames.identifier, ids)
        batches.append(
            Frames(
                frames.t[keep], frames.identifier[keep], frames.bus[keep], frames.buses,
                frames.length[keep], frames.data[keep],
            )
        )  # fmt: skip
    count = sum(len(batch) for batch in batches)
    seconds = []
    for _ in range(3):
        begin = time.perf_counter()
        for batch in batches:
            decode(batch, layouts)
        seconds.append(time.perf_counter() - begin)
    known = cantools.database.load_file(database)
    some = [
        (int(number & ~EXTENDED), bytes(data[:length]))
        for batch in batches
        for number, data, length in zip(batch.identifier, batch.data, batch.length, strict=True)
    ][:SLICE]
    begin = time.perf_counter()
    for number, data in some:
        known.decode_message(number, data)  # type: ignore[union-attr]  # CAN only
    return count / min(seconds), len(some) / (time.perf_counter() - begin)


def main() -> None:
    """Make the log, measure both routes, print the ratio."""
    import subprocess

    rate = float(sys.argv[1]) if len(sys.argv) > 1 else 1000.0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        begin = time.perf_counter()
        log, database, vehicle_file = make(folder, rate)
        print(
            f"log: {log.stat().st_size / 1e6:.0f} MB, made in {time.perf_counter() - begin:.1f} s"
        )
        code = (
            "import sys; sys.path.insert(0, sys.argv[1]); from pathlib import Path; "
            "import morning; morning.measure(*map(Path, sys.argv[2:6]))"
        )
        here = Path(__file__).resolve().parent
        ours = subprocess.run(
            [sys.executable, "-c", code, here, log, database, vehicle_file, folder],
            capture_output=True,
            text=True,
            check=True,
        ).stdout
        print(ours.rsplit("READ", 1)[0], end="")
        fast = float(ours.rsplit("READ", 1)[1])
        slow = per_message(log, database)
        print(f"  ours, to the library   {fast / 1e6:6.2f} M frames/s")
        print(f"  python-can + cantools  {slow / 1e6:6.3f} M frames/s, decode only")
        print(f"  ratio                  {fast / slow:6.1f}")
        mine, theirs = decode_alone(log, database)
        print(f"  decode alone, of known frames: ours {mine / 1e6:.2f} M frames/s, cantools "
              f"{theirs / 1e6:.3f} M frames/s, ratio {mine / theirs:.1f}")  # fmt: skip


if __name__ == "__main__":
    main()
