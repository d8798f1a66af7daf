"""Run the command line as a person does: a process of its own."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any


def thawline(*words: object, library: Path | None = None) -> subprocess.CompletedProcess[str]:
    """Run `thawline` and return what it printed."""
    environment = {k: v for k, v in os.environ.items() if k != "THAWLINE_LIBRARY"}
    if library is not None:
        environment["THAWLINE_LIBRARY"] = str(library)
    return subprocess.run(
        [sys.executable, "-c", "from thawline.cli.app import main; main()", *map(str, words)],
        capture_output=True,
        text=True,
        env=environment,
        timeout=300,
    )


def document(*words: object, library: Path | None = None) -> dict[str, Any]:
    """Run a reading command with `--json` and parse all of standard output."""
    done = thawline(*words, "--json", library=library)
    assert done.returncode == 0, done.stderr
    return json.loads(done.stdout)
