"""Work on the workers of a cluster (dask.distributed)."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator, Sequence
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Any

from thawline.errors import RequestError
from thawline.fleet.workforce import RETRIES, Failure, Outcome, Task, failed, guarded

if TYPE_CHECKING:
    from distributed import Client

#: Tasks under way for each worker, so that none waits and the scheduler stays small [1].
AHEAD = 4
#: A cluster that has no worker for so long will not go on [s].
WITHOUT_WORKERS_S = 120.0
#: How often it is asked whether workers are there while nothing comes [s].
ASK_EVERY_S = 5.0
FATAL = "every worker that took it died, perhaps because its memory did not suffice"
GO_ON = "start it and its workers, and run again: what is done is kept"


class Cluster:
    """Work on the workers of a cluster.

    Parameters
    ----------
    client : Client
        A connection to its scheduler.
    """

    def __init__(self, client: Client) -> None:
        self._client = client

    def pids(self) -> list[int]:
        """Name the workers' processes.

        Returns
        -------
        list of int
            Their numbers, rising.
        """
        return sorted(self._client.run(os.getpid).values())

    def each(self, task: Task, arguments: Sequence[tuple[Any, ...]]) -> Iterator[Outcome]:
        """Do a task with each of many arguments, some ahead of those that are done.

        Parameters
        ----------
        task : callable
            What is done.
        arguments : sequence of tuple
            What it takes, one for each time.

        Yields
        ------
        int
            Place of the arguments.
        Any
            The result, or a ``Failure``.
        """
        from distributed.scheduler import KilledWorker  # an extra

        together = self._done(task, list(enumerate(arguments)), AHEAD * max(self._threads(), 1))
        suspects = []
        for number, result in together:
            if isinstance(result, KilledWorker):
                suspects.append((number, arguments[number]))
            else:
                yield number, _told(result)
        for number, result in self._done(task, suspects, 1):
            fatal = isinstance(result, KilledWorker)
            yield number, Failure(FATAL) if fatal else _told(result)

    def _done(
        self, task: Task, given: Sequence[tuple[int, tuple[Any, ...]]], ahead: int
    ) -> Iterator[Outcome]:
        """Give a task's results as they come, an exception in place of one that fails."""
        waiting = iter(given)
        places: dict[Any, int] = {}
        ready: SimpleQueue[Any] = SimpleQueue()

        def give() -> None:
            for number, takes in waiting:
                future = self._client.submit(guarded, task, takes, pure=False, retries=RETRIES)
                places[future] = number
                future.add_done_callback(ready.put)  # type: ignore[no-untyped-call]  # the library is untyped here
                return

        for _ in range(ahead):
            give()
        while places:
            future = self._next(ready)
            number = places.pop(future)
            error = future.exception()
            yield number, future.result() if error is None else error
            future.release()
            give()

    def _next(self, ready: SimpleQueue[Any]) -> Any:
        """Wait for the next result, as long as there are workers."""
        last_seen = time.monotonic()
        while True:
            with suppress(Empty):
                future = ready.get(timeout=ASK_EVERY_S)
                if future.status == "cancelled":  # so the client marks all when it is cut off
                    raise RequestError("the connection to the scheduler is lost", cure=GO_ON)
                return future
            if self._threads():
                last_seen = time.monotonic()
            elif time.monotonic() - last_seen >= WITHOUT_WORKERS_S:
                raise RequestError("the cluster has lost all its workers", cure=GO_ON)

    def _threads(self) -> int:
        try:
            return sum(self._client.nthreads().values())  # type: ignore[no-untyped-call]  # the library is untyped here
        except OSError as error:
            raise RequestError(f"the scheduler does not answer: {error}", cure=GO_ON) from error


def _told(result: Any) -> Any:
    raised = isinstance(result, BaseException) and not isinstance(result, Failure)
    return failed(result) if raised else result
