"""Who does the work: this process, or the workers of a cluster.

Both give results one by one as they come, an error in place of a result where something fails,
and never stop because of one task.
"""

from __future__ import annotations

import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager, suppress
from typing import TYPE_CHECKING, Any, Protocol

from thawline.errors import RequestError
from thawline.fleet.source import MISSING
from thawline.trends.version import code_version

if TYPE_CHECKING:
    from distributed import Client

#: A task is tried so often again if storage or a worker fails [1].
RETRIES = 2
#: Tasks under way for each worker, so that none waits and the scheduler stays small [1].
AHEAD = 4
#: Every worker computes with one thread; the fleet is what runs side by side.
ONE_THREAD = {
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
    "NUMEXPR_NUM_THREADS": "1",
    "POLARS_MAX_THREADS": "1",
}
#: A scheduler that does not answer within this is not there [s].
PATIENCE_S = 15.0

Task = Callable[..., Any]
Outcome = tuple[int, Any]


class Failure(Exception):  # noqa: N818  # it is handed on as a result, and never raised
    """A task that failed, in words."""


class Workforce(Protocol):
    """Who does the work."""

    def each(self, task: Task, arguments: Sequence[tuple[Any, ...]]) -> Iterator[Outcome]:
        """Do a task with each of many arguments.

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


class Here:
    """Work in this process, one after another."""

    def each(self, task: Task, arguments: Sequence[tuple[Any, ...]]) -> Iterator[Outcome]:
        """Do a task with each of many arguments.

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
        for number, given in enumerate(arguments):
            yield number, _tried(task, given)


def _tried(task: Task, given: tuple[Any, ...]) -> Any:
    for _ in range(RETRIES):
        with suppress(OSError):
            return guarded(task, given)
    try:
        return guarded(task, given)
    except OSError as error:
        return _failure(error)


def _failure(error: BaseException) -> Failure:
    words = str(error).strip().splitlines()
    return Failure(f"{type(error).__name__}: {words[0] if words else 'no reason given'}")


def guarded(task: Task, given: tuple[Any, ...]) -> Any:
    """Do a task on a worker; only what trying again may cure is raised.

    Parameters
    ----------
    task : callable
        What is done.
    given : tuple
        What it takes.

    Returns
    -------
    Any
        The result, or a ``Failure``.

    Raises
    ------
    OSError
        If storage fails: the scheduler tries again.
    """
    try:
        return task(*given)
    except OSError:
        raise
    except Exception as error:  # whatever it is, the run goes on and tells it
        return _failure(error)


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
        from distributed import as_completed  # an extra

        waiting = iter(enumerate(arguments))
        places: dict[Any, int] = {}
        running: Any = as_completed(loop=self._client.loop)  # type: ignore[no-untyped-call]  # the library is untyped here

        def give() -> None:
            for number, given in waiting:
                future = self._client.submit(guarded, task, given, pure=False, retries=RETRIES)
                places[future] = number
                running.add(future)
                return

        for _ in range(AHEAD * max(len(self._client.scheduler_info()["workers"]), 1)):
            give()
        for future in running:
            number = places.pop(future)
            error = future.exception()  # a killed worker's task comes here when all tries failed
            yield number, future.result() if error is None else _failure(error)
            future.release()
            give()


@contextmanager
def hired(workers: int, scheduler: str | None = None) -> Iterator[Workforce]:
    """Hire workers, and let them go at the end.

    Parameters
    ----------
    workers : int
        Processes of a cluster on this machine; 0: this process alone [1].
    scheduler : str, optional
        Address of a cluster that runs already; it is left as it is.

    Yields
    ------
    Workforce
        Who does the work.

    Raises
    ------
    RequestError
        If the extra is missing, the scheduler does not answer, or its workers run other code.
    """
    if scheduler is None and workers == 0:
        yield Here()
        return
    try:
        import dask
        from distributed import Client, LocalCluster
    except ImportError as error:
        raise RequestError(
            "workers need the extra 'fleet', which is not installed",
            cure=f"{MISSING}, or use --workers 0",
        ) from error
    if scheduler is not None:
        try:
            client = Client(scheduler, timeout=PATIENCE_S, set_as_default=False)  # type: ignore[no-untyped-call]  # the library is untyped here
        except (OSError, TimeoutError, ValueError) as error:
            raise RequestError(
                f"no scheduler answers at {scheduler}: {error}", cure="give tcp://host:port"
            ) from error
        with client:
            _same_code(client, scheduler)
            yield Cluster(client)
        return
    settings = {
        "distributed.nanny.pre-spawn-environ": ONE_THREAD,
        "distributed.admin.large-graph-warning-threshold": "1GB",
    }
    with (
        dask.config.set(settings),
        LocalCluster(  # type: ignore[no-untyped-call]  # the library is untyped here
            n_workers=workers,
            threads_per_worker=1,
            processes=True,
            host="127.0.0.1",
            dashboard_address=None,
            scheduler_kwargs={"dashboard": False, "dashboard_address": "127.0.0.1:0"},
            local_directory=None,
            silence_logs="ERROR",
        ) as cluster,
        Client(cluster, set_as_default=False) as client,  # type: ignore[no-untyped-call]  # the library is untyped here
    ):
        yield Cluster(client)


def _same_code(client: Client, scheduler: str) -> None:
    found = client.run(code_version)
    if not found:
        raise RequestError(f"the scheduler at {scheduler} has no workers", cure="start some")
    other = sorted({str(version) for version in found.values()} - {code_version()})
    if other:
        raise RequestError(
            f"workers of {scheduler} run other code ({', '.join(other)}, here {code_version()})",
            cure="install the same version there",
        )


def usual_workers() -> int:
    """Say how many workers this machine takes.

    Returns
    -------
    int
        One for each core that this process may use [1].
    """
    try:
        return max(1, len(os.sched_getaffinity(0)))
    except AttributeError:  # not every platform tells
        return max(1, os.cpu_count() or 1)
