"""Hire who does the work, and let them go at the end."""

from __future__ import annotations

import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from thawline.errors import RequestError
from thawline.fleet.cluster import Cluster
from thawline.fleet.source import MISSING
from thawline.fleet.workforce import Here, Workforce
from thawline.trends.version import code_version

if TYPE_CHECKING:
    from distributed import Client

#: Every worker computes with one thread; the fleet is what runs side by side.
ONE_THREAD = {
    "OMP_NUM_THREADS": "1",
    "OPENBLAS_NUM_THREADS": "1",
    "MKL_NUM_THREADS": "1",
    "NUMEXPR_NUM_THREADS": "1",
    "POLARS_MAX_THREADS": "1",
}
#: A task that was under way when more workers than this died is done again at the end, alone, so
#: that what died with it by chance is not blamed [1].
DEATHS = 1
#: What watches a cluster for people to look at costs the core that asks; no page shows it here.
QUIET = {
    "distributed.worker.profile.enabled": False,
    "distributed.admin.system-monitor.interval": "5s",
    "distributed.admin.tick.interval": "1s",
    "distributed.admin.tick.limit": "60s",
    "distributed.client.heartbeat": "20s",
    "distributed.scheduler.active-memory-manager.start": False,
    "distributed.worker.preload": ["thawline.fleet.work"],  # imported while workers start
}
#: A scheduler that does not answer within this is not there [s].
PATIENCE_S = 15.0


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
        **QUIET,
        "distributed.nanny.pre-spawn-environ": ONE_THREAD,
        "distributed.scheduler.allowed-failures": DEATHS,
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
