"""Read ahead in a thread, so that a log is read and parsed while it is decoded."""

from __future__ import annotations

import queue
import threading
from collections.abc import Generator, Iterator
from contextlib import suppress
from typing import TypeVar

Item = TypeVar("Item")

#: Items that wait at most [1].
WAITING = 2
#: How often a full or empty queue is looked at to see whether it still matters [s].
LOOK_S = 0.1


def ahead(items: Iterator[Item]) -> Generator[Item, None, None]:
    """Draw items in a thread of their own, a few at a time ahead of who asks for them.

    Parameters
    ----------
    items : iterator
        The items; they are drawn, and the iterator is closed, in that thread only.

    Yields
    ------
    item
        The items in order. What the iterator raises is raised here. When this generator is
        closed the thread ends before that returns.
    """
    ready: queue.Queue[tuple[Item | None, BaseException | None]] = queue.Queue(WAITING)
    is_over = threading.Event()

    def hand_over(item: Item | None, error: BaseException | None) -> None:
        while not is_over.is_set():
            with suppress(queue.Full):
                ready.put((item, error), timeout=LOOK_S)
                return

    def draw() -> None:
        try:
            for item in items:
                hand_over(item, None)
                if is_over.is_set():
                    break
            hand_over(None, StopIteration())
        except BaseException as error:  # it is raised again where the items are wanted
            hand_over(None, error)
        finally:
            close = getattr(items, "close", None)
            if close is not None:
                close()

    drawing = threading.Thread(target=draw, name="read-ahead", daemon=True)
    drawing.start()
    try:
        while True:
            item, error = ready.get()
            if isinstance(error, StopIteration):
                return
            if error is not None:
                raise error
            assert item is not None, "an item comes without an error"
            yield item
    finally:
        is_over.set()
        drawing.join()
