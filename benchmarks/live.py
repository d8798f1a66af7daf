"""What listening costs: ours beside python-can's own serial reader, and a whole watch.

Run: ``python benchmarks/live.py [seconds]``.

- Frames of a serial adapter over a pseudo-terminal at 4,000 a second, read by python-can's
  ``slcanBus.recv`` and by ours: processor time for a frame, and frames dropped or behind.
- ``thawline watch`` on a simulated morning's frames in their own time, filled up to 4,000 a
  second: cores used by its two programs, pages a second, memory, frames dropped.
"""

from __future__ import annotations

import json
import subprocess
import sys
import tempfile
import time
from pathlib import Path
from typing import Any

import numpy as np
from can.interfaces.slcan import slcanBus

ROOT = Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from tests.live.playing import adapter, journal_lines, sent  # noqa: E402 # the tests' adapter
from thawline.live.bus_spec import parse_bus  # noqa: E402 # after the path is set
from thawline.live.opening import open_listener  # noqa: E402 # the same
from thawline.simulator.demo import make  # noqa: E402 # the same

RATE, MEGABYTE, TICKS, PAGE = 4000.0, 1e6, 100.0, 4096


def read_by_python_can(folder: Path, seconds: float) -> tuple[int, float]:
    """Frames and processor time of python-can's reader, opened listening only."""
    bus = slcanBus(str(folder / "tty"), bitrate=500_000, listen_only=True, sleep_after_open=0)
    begin, until, count = time.process_time(), time.monotonic() + seconds, 0
    while time.monotonic() < until:
        count += bus.recv(0.1) is not None
    used = time.process_time() - begin
    bus.shutdown()
    return count, used


def read_by_us(folder: Path, seconds: float) -> tuple[int, float]:
    """Frames and processor time of our reader."""
    listener = open_listener(parse_bus(f"slcan:{folder / 'tty'}"))
    begin, until, count = time.process_time(), time.monotonic() + seconds, 0
    while time.monotonic() < until:
        count += listener.receive(time.time).frames
    used = time.process_time() - begin
    listener.close()
    return count, used


def use_of(pid: int) -> tuple[float, float] | None:
    """Processor time [s] and memory [MB] of a program."""
    try:
        text = Path(f"/proc/{pid}/stat").read_text().rsplit(")", 1)[1].split()
    except OSError:
        return None
    return (int(text[11]) + int(text[12])) / TICKS, int(text[21]) * PAGE / MEGABYTE


def children(pid: int) -> list[int]:
    """List the programs that a program began."""
    try:
        return [int(x) for x in Path(f"/proc/{pid}/task/{pid}/children").read_text().split()]
    except OSError:
        return []


def use_of_morning(folder: Path, seconds: float) -> dict[str, Any]:
    """Watch a simulated morning through an adapter; tell what that used."""
    morning = make(folder / "logs")[0]
    with adapter(folder / "a", RATE, "plain", morning.log):
        program = subprocess.Popen(
            [sys.executable, "-c", "from thawline.cli.app import main; main()", "watch",
             "--bus", f"slcan:{folder / 'a' / 'tty'}", "-d", str(morning.database),
             "-v", str(morning.vehicle_file), "--library", str(folder / "library"), "--json",
             "--for", str(seconds)],
            stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True,
        )  # fmt: skip
        at: list[float] = []
        uses: list[tuple[float, float, float]] = []
        last: dict[str, Any] = {}
        told: dict[str, Any] = {}
        assert program.stdout is not None
        for line in program.stdout:
            last = json.loads(line)
            if "recording" in last:
                break
            told = last
            at.append(time.monotonic())
            found = [use_of(pid) for pid in (program.pid, *children(program.pid))]
            there = [each for each in found if each is not None]
            uses.append((at[-1], sum(e[0] for e in there), sum(e[1] for e in there)))
        program.wait()
        given = sent(folder / "a")
    (log,) = (folder / "library" / "logs").iterdir()
    lines = journal_lines(log)
    numbers = [int(x.rsplit("#", 1)[1], 16) for x in lines if x.split()[2].startswith("1F0000")]
    missing = len(set(range(numbers[-1] + 1)) - set(numbers)) if numbers else 0
    begin = next((i for i, use in enumerate(uses) if use[0] - uses[0][0] > 5.0), 0)
    first, end = uses[begin], uses[-1]
    half = uses[len(uses) // 2]
    story = told["story"] or {}
    ahead = told["ahead"] or {}
    return {
        "seconds": round(end[0] - uses[0][0], 1),
        "given": given,
        "frames": last["recording"]["frames"],
        "dropped": missing + told["lost"],
        "cores": round((end[1] - first[1]) / (end[0] - first[0]), 3),
        "cores_from_the_very_start": round(end[1] / (end[0] - uses[0][0]), 3),
        "pages": len(at),
        "page_every_s_p99": round(float(np.quantile(np.diff(at), 0.99)), 2),
        "memory_MB": round(end[2]),
        "memory_growth_MB_per_min": round((end[2] - half[2]) / (end[0] - half[0]) * 60.0, 2),
        "journal_MB": round(log.stat().st_size / MEGABYTE, 1),
        "turning_points": [p["kind"] for p in story.get("turning_points", [])],
        "story_behind_s": round((told["t_s"] or 0.0) - story.get("until_s", 0.0), 1),
        "ahead_behind_s": round((told["t_s"] or 0.0) - ahead.get("made_at_s", 0.0), 1),
    }


def main() -> None:
    """Print the comparison."""
    seconds = float(sys.argv[1]) if len(sys.argv) > 1 else 60.0
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        per_frame = {}
        for who, read in (("python-can", read_by_python_can), ("ours", read_by_us)):
            with adapter(folder / who, RATE):
                count, used = read(folder / who, 10.0)
            behind = json.loads((folder / who / "sent.json").read_text())["behind_s"]
            per_frame[who] = used / max(count, 1)
            print(
                f"{who:<11} {count:>7} frames in 10 s, {used / 10.0:6.1%} of a core, "
                f"{1e6 * per_frame[who]:6.1f} µs a frame, at most {behind:.1f} s behind"
            )
        print(f"python-can / ours: {per_frame['python-can'] / per_frame['ours']:.1f}")
        for key, value in use_of_morning(folder, seconds).items():
            print(f"{key:<26} {value}")


if __name__ == "__main__":
    main()
