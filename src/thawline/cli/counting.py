"""Show how many of many things are done, on standard error."""

from __future__ import annotations

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from thawline.cli.speak import say

#: Where nobody looks at a moving bar, a line is written so often at most [s].
EVERY_S = 10.0


@contextmanager
def counting(what: str) -> Iterator[Callable[[int, int], None]]:
    """Count things done: a bar on a terminal, else a line now and then.

    Parameters
    ----------
    what : str
        What is being done.

    Yields
    ------
    callable
        To be called with how many are done and how many there are.
    """
    if not sys.stderr.isatty():
        last = time.monotonic()

        def tell(done: int, total: int) -> None:
            nonlocal last
            if time.monotonic() - last >= EVERY_S:
                last = time.monotonic()
                say(f"{what}: {done} of {total}")

        yield tell
        return
    # imported here: rich is not needed where nobody looks, and help stays quick
    from rich.console import Console
    from rich.progress import (
        BarColumn,
        MofNCompleteColumn,
        Progress,
        TextColumn,
        TimeRemainingColumn,
    )

    columns = (TextColumn("{task.description}"), BarColumn(), MofNCompleteColumn(),
               TimeRemainingColumn())  # fmt: skip
    with Progress(*columns, console=Console(stderr=True), transient=True) as bar:
        task = bar.add_task(what, total=None)
        yield lambda done, total: bar.update(task, completed=done, total=total)
