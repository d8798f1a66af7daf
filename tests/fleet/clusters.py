"""A cluster as somebody else would start it: processes of their own, ended in any case."""

from __future__ import annotations

import json
import os
import signal
import subprocess
import sys
import time
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

READY_S = 60.0


@contextmanager
def within(seconds: float) -> Iterator[None]:
    """Raise a TimeoutError where a test waits longer than this."""

    def late(_signal: int, _frame: object) -> None:
        raise TimeoutError(f"not done within {seconds:g} s")

    before = signal.signal(signal.SIGALRM, late)
    signal.setitimer(signal.ITIMER_REAL, seconds)
    try:
        yield
    finally:
        signal.setitimer(signal.ITIMER_REAL, 0.0)
        signal.signal(signal.SIGALRM, before)


def _start(*words: object) -> subprocess.Popen[bytes]:
    return subprocess.Popen(
        [sys.executable, "-m", "dask", *map(str, words)],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
        start_new_session=True,
    )


def _end(process: subprocess.Popen[bytes]) -> None:
    with suppress(ProcessLookupError):
        os.killpg(process.pid, signal.SIGKILL)  # its group: whatever it started too
    process.wait(timeout=10.0)


@contextmanager
def cluster(folder: Path, workers: int) -> Iterator[tuple[str, list[subprocess.Popen[bytes]]]]:
    """Start a scheduler and workers; give its address, and the processes, the scheduler first."""
    told = folder / "scheduler.json"
    running = [
        _start("scheduler", "--host", "127.0.0.1", "--port", 0, "--no-dashboard",
               "--dashboard-address", "127.0.0.1:0", "--scheduler-file", told)
    ]  # fmt: skip
    try:
        address = _address(told, running[0])
        words = ("worker", address, "--host", "127.0.0.1", "--nthreads", 1, "--no-nanny",
                 "--no-dashboard", "--local-directory", folder, "--death-timeout", 60)  # fmt: skip
        while len(running) <= workers:
            running.append(_start(*words))
        _wait_for_workers(address, workers)
        yield address, running
    finally:
        for process in reversed(running):
            _end(process)


def _address(told: Path, scheduler: subprocess.Popen[bytes]) -> str:
    until = time.monotonic() + READY_S
    while time.monotonic() < until and scheduler.poll() is None:
        with suppress(FileNotFoundError, ValueError):
            return str(json.loads(told.read_text("utf-8"))["address"])
        time.sleep(0.1)
    raise TimeoutError("the scheduler did not start")


def _wait_for_workers(address: str, workers: int) -> None:
    from distributed import Client  # an extra

    with Client(address, timeout=READY_S, set_as_default=False) as client:
        client.wait_for_workers(workers, timeout=READY_S)
