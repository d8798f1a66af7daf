"""A study that ends every worker that takes one recording, as running out of memory would."""

from __future__ import annotations

import multiprocessing
import os
import signal
from pathlib import Path
from typing import Any

from thawline.fleet import work

study = work.look
KILLER = "petrel-1-01"


def look(folder: str) -> dict[str, Any]:
    """Study a recording; die of that one, but never in the process of the tests."""
    assert multiprocessing.parent_process() is not None
    if f'"{KILLER}"' in (Path(folder) / "recording.json").read_text("ascii"):
        os.kill(os.getpid(), signal.SIGKILL)
    return study(folder)
