"""Run in a process of its own: do one thing to copies of a library, killed at one line each.

Arguments: ``add`` or ``remove``; the library to copy; the folder for copies; the line numbers
to be killed at, counted as lines of the library room are executed; ``0`` is never killed and
prints how many lines there are.
"""

from __future__ import annotations

import os
import shutil
import signal
import sys
from pathlib import Path
from types import FrameType
from typing import Any

import polars as pl  # imported before forking, so that no copy pays for it

from tests.library.made import a_morning
from thawline.library.add import add_recording, remove
from thawline.library.library import open_library

assert pl.Series is not None
WATCHED = str(Path("thawline") / "library")


def act(what: str, folder: Path, at: int) -> int:
    """Do it, and kill this process when it reaches the line."""
    library = open_library(folder)
    lines = 0

    def each_line(frame: FrameType, event: str, arg: Any) -> Any:
        nonlocal lines
        if event == "line":
            lines += 1
            if lines == at:
                os.kill(os.getpid(), signal.SIGKILL)
        return each_line

    def each_call(frame: FrameType, event: str, arg: Any) -> Any:
        return each_line if WATCHED in frame.f_code.co_filename else None

    sys.settrace(each_call)
    if what == "add":
        add_recording(library, a_morning("petrel-20260118-0603-0c41ee"), "new")
    else:
        remove(library, "gannet")
    sys.settrace(None)
    return lines


def main() -> None:
    """Fork once per line."""
    what, original, copies = sys.argv[1], Path(sys.argv[2]), Path(sys.argv[3])
    for at in map(int, sys.argv[4:]):
        folder = copies / str(at)
        shutil.copytree(original, folder)
        child = os.fork()
        if not child:
            sys.stdout.write(f"{act(what, folder, at)}\n")
            sys.stdout.flush()
            os._exit(0)
        os.waitpid(child, 0)


if __name__ == "__main__":
    main()
