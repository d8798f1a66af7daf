"""An object store as somebody else would run it: a server on loopback that speaks S3."""

from __future__ import annotations

import os
import signal
import socket
import subprocess
import sys
import time
import urllib.request
from collections.abc import Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

READY_S = 60.0
#: What tools that speak S3 read; workers are started with it.
ASKING = {"AWS_ACCESS_KEY_ID": "skerrow", "AWS_SECRET_ACCESS_KEY": "harbour",
          "AWS_DEFAULT_REGION": "us-east-1", "AWS_EC2_METADATA_DISABLED": "true",
          "AWS_MAX_ATTEMPTS": "2"}  # fmt: skip


def free_port() -> int:
    """A port of this machine that nobody listens on."""
    with socket.socket() as one:
        one.bind(("127.0.0.1", 0))
        return int(one.getsockname()[1])


@contextmanager
def object_store() -> Iterator[str]:
    """Start moto's server (a general-purpose imitation of S3 for tests); give its address."""
    address = f"http://127.0.0.1:{(port := free_port())}"
    process = subprocess.Popen(
        [sys.executable, "-m", "moto.server", "-H", "127.0.0.1", "-p", str(port)],
        stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True,
    )  # fmt: skip
    try:
        until = time.monotonic() + READY_S
        while True:
            with suppress(OSError), urllib.request.urlopen(f"{address}/moto-api/", timeout=5.0):
                break
            if time.monotonic() > until or process.poll() is not None:
                raise TimeoutError("the store did not start")
            time.sleep(0.1)
        yield address
    finally:
        with suppress(ProcessLookupError):
            os.killpg(process.pid, signal.SIGKILL)
        process.wait(timeout=10.0)


def copy(folder: Path, to: str) -> None:
    """Put a library's recordings there, as copying its folder does."""
    import fsspec

    files, root = fsspec.core.url_to_fs(to)
    files.mkdir(root.partition("/")[0])
    files.put(str(folder / "recordings"), f"{root}/recordings", recursive=True)
