"""`thawline watch` in a program of its own, killed in the middle: at most a second is lost."""

import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from tests.cli.running import document
from tests.live.playing import adapter, heard, journal_lines, numbers, wait_for, write_car
from thawline.library.library import open_library
from thawline.library.listing import listing
from thawline.live.events import read_events
from thawline.live.heartbeat import heartbeat
from thawline.live.running import leftover, running

#: What may be lost, as promised [s].
PROMISED_S = 1.0


def watch(folder: Path, *words: str) -> subprocess.Popen:
    """Begin to watch an adapter."""
    vehicle, database = write_car(folder)
    command = ["watch", "--bus", f"slcan:{folder / 'a' / 'tty'}", "--database", str(database)]
    command += ["--vehicle", str(vehicle), "--library", str(folder / "library"), *words]
    return subprocess.Popen(
        [sys.executable, "-c", "from thawline.cli.app import main; main()", *command],
        stdin=subprocess.PIPE, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip


def begun(folder: Path):
    """Wait until frames come; give the session."""
    library = open_library(folder / "library")
    wait_for(lambda: running(library), 60.0)
    (session,) = running(library)
    wait_for(lambda: (beat := heartbeat(session)) is not None and beat.frames > 100, 60.0)
    return library, session


def taken_until(folder: Path, moment: float) -> int:
    """How many frames the adapter had given by a moment."""
    given = 0
    for line in (folder / "a" / "sent_at").read_text().splitlines():
        at, count = line.split()
        if float(at) <= moment:
            given = int(count)
    return given


def test_a_kill_costs_a_second_at_most(tmp_path):
    """SIGKILL in the middle; the frames and notes before are recovered as a recording."""
    with adapter(tmp_path / "a", 2000.0):
        program = watch(tmp_path)
        library, session = begun(tmp_path)
        program.stdin.write("asked for charging\n")
        program.stdin.flush()
        time.sleep(3.0)
        killed = time.time()
        os.kill(program.pid, signal.SIGKILL)
        program.communicate(timeout=30)
        time.sleep(0.3)
    wait_for(lambda: leftover(library))  # the lock went with the program
    lines = journal_lines(session.journal)
    got = numbers(lines)
    assert got == list(range(len(got)))
    assert len(got) >= taken_until(tmp_path, killed - PROMISED_S)
    assert [e.text for e in read_events(session.events)] == ["asked for charging"]
    found = document("watch", "--recover", library=tmp_path / "library")
    assert found["recording"]["frames"] == len(got)
    (entry,) = listing(library)
    assert (entry.frames, entry.notes) == (len(got), 1)
    assert leftover(library) == ()
    assert set(heard(tmp_path / "a").split(b"\r")) <= {b"C", b"S6", b"L", b""}


@pytest.mark.parametrize("sign", [signal.SIGINT, signal.SIGTERM])
def test_being_asked_to_end_keeps_everything(tmp_path, sign):
    """Ctrl-C, or the system shutting down: an ordinary recording of all frames."""
    with adapter(tmp_path / "a", 1000.0):
        program = watch(tmp_path)
        library, _ = begun(tmp_path)
        program.send_signal(sign)
        _, errors = program.communicate(timeout=60)
        assert heard(tmp_path / "a") == b"C\rS6\rL\rC\r"
    assert program.returncode == 0, errors
    (entry,) = listing(library)
    log = next((tmp_path / "library" / "logs").iterdir())
    got = numbers(journal_lines(log))
    assert got == list(range(entry.frames))
    assert not (list((tmp_path / "library" / "live").glob("*/")))
