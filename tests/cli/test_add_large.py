"""``thawline add`` of logs that take a while: all signals kept, interrupts, kills."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.running import document
from tests.recording.making import START, lines, write

SLOW = """
import sys
from thawline.recording import spill
from thawline.sources import chunks as lines_module
import thawline.recording.pile_frames as pile_frames
spill.HELD_BYTES = 1000
lines_module.LINES_PER_BATCH = 100
decode = pile_frames.decode
def slowly(*a):
    import time
    print("batch", file=sys.stderr, flush=True)
    time.sleep(0.2)
    return decode(*a)
pile_frames.decode = slowly
from thawline.cli.app import main
main()
"""


def test_keep_all_keeps_the_other_signals_apart(tmp_path):
    """The count is in the JSON; with them and without them are two recordings."""
    text = [*lines(), *(f"({START + i}.5) can0 101#0DAC006400AA" for i in range(50))]
    log, database, vehicle = write(tmp_path, sorted(text))
    dbc = database.read_text().replace(
        "BO_ 258", ' SG_ Spare : 40|8@1+ (1,0) [0|0] "" Logger\nBO_ 258'
    )
    database.write_text(dbc)
    words = ("add", log, "--database", database, "--vehicle", vehicle, "--library", tmp_path / "l")
    (plain,) = document(*words)["recordings"]
    (whole,) = document(*words, "--keep-all")["recordings"]
    assert plain["others"] == 0 and whole["others"] == 2
    assert plain["channels"] == whole["channels"] and plain["id"] != whole["id"]
    (again,) = document(*words, "--keep-all")["recordings"]
    assert again["id"] == whole["id"] and not again["is_new"] and again["others"] == 2


@pytest.mark.skipif(os.name == "nt", reason="signals are a matter of POSIX")
@pytest.mark.parametrize("how", [signal.SIGINT, signal.SIGKILL], ids=["interrupt", "kill"])
def test_an_interrupt_leaves_nothing_half_added_and_no_file(tmp_path, how):
    """In the middle of a log whose samples are put aside on disk."""
    log, database, vehicle = write(tmp_path)
    library, scratch = tmp_path / "library", tmp_path / "temporary"
    scratch.mkdir()
    words = ["add", log, "--database", database, "--vehicle", vehicle, "--library", library]
    running = subprocess.Popen(
        [sys.executable, "-c", SLOW, *map(str, words)],
        cwd=Path(__file__).resolve().parents[2],
        stderr=subprocess.PIPE,
        env={**os.environ, "TMPDIR": str(scratch)},
        text=True,
    )
    assert running.stderr is not None
    seen = [running.stderr.readline() for _ in range(3)]
    assert seen == ["batch\n"] * 3
    time.sleep(0.1)
    running.send_signal(how)
    _, said = running.communicate(timeout=60)
    assert running.returncode != 0 and "Traceback" not in said
    assert list(scratch.iterdir()) == [] and list((library / "incoming").iterdir()) == []
    assert list((library / "recordings").iterdir()) == []
    assert document("recordings", "--library", library)["recordings"] == []
