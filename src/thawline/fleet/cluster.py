"""Work on the workers of a cluster (dask.distributed).

Arguments are handed out several at a time: a large share of what is left at first, fewer towards
the end, so that asking costs little and all workers end together (guided self-scheduling [1]_).

References
----------
.. [1] C. D. Polychronopoulos, D. J. Kuck, IEEE Trans. Comput. C-36 (1987) 1425.
"""

from __future__ import annotations

import os
import pickle
import time
from collections.abc import Iterable, Iterator, Sequence
from contextlib import suppress
from queue import Empty, SimpleQueue
from typing import TYPE_CHECKING, Any

from thawline.errors import RequestError
from thawline.fleet.workforce import (
    RETRIES,
    Again,
    Failure,
    Outcome,
    Task,
    failed,
    guarded,
    guarded_many,
    packed,
)

if TYPE_CHECKING:
    from distributed import Client

#: Pieces under way for each worker, so that none waits and the scheduler stays small [1].
AHEAD = 2
#: A piece is one part in so many of what is left for those under way, and no more tasks than
#: that: what is lost with a worker stays small [1].
PART, LARGEST = 2, 16
#: A cluster that has no worker for so long will not go on [s].
WITHOUT_WORKERS_S = 120.0
#: How often it is asked whether workers are there while nothing comes [s].
ASK_EVERY_S = 5.0
_Given = tuple[int, tuple[Any, ...]]
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

        ahead = AHEAD * max(self._threads(), 1)
        pieces = list(_pieces(list(enumerate(arguments)), ahead))
        given = ((packed(task, [takes for _, takes in piece]),) for piece in pieces)
        again, suspects = list[_Given](), list[_Given]()
        for place, results in self._done(guarded_many, given, ahead):
            piece = pieces[place]
            if isinstance(results, BaseException):
                (suspects if isinstance(results, KilledWorker) else again).extend(piece)
                continue
            for each, result in zip(piece, pickle.loads(results), strict=True):
                if isinstance(result, Again):
                    again.append(each)
                else:
                    yield each[0], result
        yield from self._singly(task, again, ahead)
        # what died in company is done again alone: what dies then is its own fault
        yield from self._singly(task, suspects, 1)

    def _singly(self, task: Task, given: Sequence[_Given], ahead: int) -> Iterator[Outcome]:
        from distributed.scheduler import KilledWorker  # an extra

        takes = [(task, each) for _, each in given]
        for place, result in self._done(guarded, takes, ahead):
            if isinstance(result, KilledWorker):
                yield given[place][0], Failure(FATAL)
            else:
                raised = isinstance(result, BaseException) and not isinstance(result, Failure)
                yield given[place][0], failed(result) if raised else result

    def _done(self, task: Task, given: Iterable[tuple[Any, ...]], ahead: int) -> Iterator[Outcome]:
        """Give a task's results as they come, an exception in place of one that fails."""
        waiting = iter(enumerate(given))
        places: dict[Any, int] = {}
        ready: SimpleQueue[Any] = SimpleQueue()

        def give() -> None:
            for place, takes in waiting:
                future = self._client.submit(task, *takes, pure=False, retries=RETRIES)
                places[future] = place
                future.add_done_callback(ready.put)  # type: ignore[no-untyped-call]  # the library is untyped here
                return

        for _ in range(ahead):
            give()
        while places:
            future = self._next(ready)
            place = places.pop(future)
            error = future.exception()
            yield place, future.result() if error is None else error
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


def _pieces(given: Sequence[_Given], ahead: int) -> Iterator[Sequence[_Given]]:
    begin = 0
    while begin < len(given):
        size = min(max((len(given) - begin) // (PART * ahead), 1), LARGEST)
        yield given[begin : begin + size]
        begin += size
