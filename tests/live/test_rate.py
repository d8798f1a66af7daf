"""4,000 frames a second through a serial adapter over a pseudo-terminal: nothing is dropped."""

import json
import subprocess
import sys
import time
from itertools import pairwise
from pathlib import Path

import pytest

from tests.house.reading import ROOT
from tests.live.playing import adapter, heard, journal_lines, numbers, sent, write_car

RATE = 4000.0


def watched(folder: Path, seconds: float):
    """Watch for some time; give the lines of JSON and what was heard of the program's use."""
    vehicle, database = write_car(folder)
    with adapter(folder / "a", RATE):
        command = ["watch", "--bus", f"slcan:{folder / 'a' / 'tty'}", "--json", "--for"]
        command += [str(seconds), "-d", str(database), "-v", str(vehicle)]
        words = [sys.executable, "-c", "from thawline.cli.app import main; main()", *command]
        words += ["--library", str(folder / "library")]
        with subprocess.Popen(
            words, stdin=subprocess.DEVNULL, stdout=subprocess.PIPE, text=True, cwd=ROOT
        ) as program:
            lines = [(time.monotonic(), json.loads(line)) for line in program.stdout]
        assert program.returncode == 0
        # what was still on its way when the channel was closed is nobody's to keep
        given = sent(folder / "a")
    assert heard(folder / "a") == b"C\rS6\rL\rC\r"
    return lines, given


def check(folder: Path, lines, given: int):
    """Every frame that was given is on disk, once and in order."""
    kept = lines[-1][1]["recording"]["frames"]
    (log,) = (folder / "library" / "logs").iterdir()
    text = journal_lines(log)
    assert len(text) == kept
    assert given - kept < RATE * 0.25  # frames between the last reading and the close
    assert numbers(text) == list(range(kept))
    assert lines[-2][1]["lost"] == 0


def test_nothing_is_dropped_in_ten_seconds(tmp_path):
    """Counted by the numbers that the frames carry."""
    lines, given = watched(tmp_path, 10.0)
    assert given > 8 * RATE
    check(tmp_path, lines, given)
    seconds = [line for _, line in lines[:-1]]
    assert all(a["frames"] <= b["frames"] for a, b in pairwise(seconds))
    assert len(seconds) >= 8  # a page a second


@pytest.mark.slow
def test_ten_minutes_of_a_morning(tmp_path):
    """A morning's own frames in their own time, filled up to the rate; its story is told."""
    sys.path.insert(0, str(ROOT))
    from benchmarks.live import use_of_morning

    told = use_of_morning(tmp_path, seconds=600.0)
    print(told)
    assert told["dropped"] == 0
    assert told["page_every_s_p99"] < 1.5
    assert told["cores"] < 0.40
    assert told["memory_growth_MB_per_min"] < 5.0
