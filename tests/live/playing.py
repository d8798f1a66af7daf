"""Start adapters and sessions for tests."""

from __future__ import annotations

import json
import subprocess
import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from pathlib import Path

from tests.house.reading import ROOT
from tests.recording.making import DBC, TOML
from thawline.live.bus_spec import parse_buses
from thawline.live.journal_tail import JournalTail
from thawline.live.listening import Listening

#: Nothing here takes longer [s].
PATIENCE_S = 30.0


def wait_for(what: Callable[[], object], patience_s: float = PATIENCE_S) -> None:
    """Wait until something is so."""
    until = time.monotonic() + patience_s
    while not what():
        assert time.monotonic() < until, "waited in vain"
        time.sleep(0.02)


@contextmanager
def adapter(
    folder: Path, rate: float, mode: str = "plain", log: Path | None = None
) -> Iterator[subprocess.Popen[bytes]]:
    """Play an adapter; ``folder / "tty"`` is its port."""
    folder.mkdir(exist_ok=True)
    (folder / "tty").unlink(missing_ok=True)
    words = [str(folder), str(rate), mode, *([str(log)] if log else [])]
    program = subprocess.Popen(
        [sys.executable, "-m", "tests.live.adapter", *words], stdin=subprocess.PIPE, cwd=ROOT
    )
    try:
        wait_for((folder / "tty").exists)
        yield program
    finally:
        pull(program)


def pull(program: subprocess.Popen[bytes]) -> None:
    """Pull the adapter out."""
    if program.stdin is not None and not program.stdin.closed:
        program.stdin.close()
    program.wait(PATIENCE_S)


def heard(folder: Path) -> bytes:
    """All bytes that the adapter was given."""
    return (folder / "heard").read_bytes()


def sent(folder: Path) -> int:
    """How many frames the adapter gave."""
    return int(json.loads((folder / "sent.json").read_text())["sent"])


def write_car(folder: Path) -> tuple[Path, Path]:
    """Write a vehicle file and a database."""
    vehicle, database = folder / "car.toml", folder / "car.dbc"
    vehicle.write_text(TOML)
    database.write_text(DBC)
    return vehicle, database


@contextmanager
def listening(folder: Path, library, *buses: str, **options) -> Iterator[Listening]:
    """Listen, and end whatever happens."""
    vehicle, database = write_car(folder)
    session = Listening(library, vehicle, [database], parse_buses(buses), **options)
    try:
        yield session
    finally:
        session.stop()
        session.let_go()


def journal_lines(path: Path) -> list[str]:
    """All lines of a journal."""
    tail, text = JournalTail(path), b""
    while more := tail.read():
        text += more
    return text.decode("ascii").splitlines()


def numbers(lines: list[str]) -> list[int]:
    """The numbers that the adapter's numbered frames tell."""
    return [int(line.rsplit("#", 1)[1], 16) for line in lines]
