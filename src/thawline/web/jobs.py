"""Long work: started from a page, done apart, its progress told."""

from __future__ import annotations

import multiprocessing
import secrets
import threading
from collections import OrderedDict
from collections.abc import Callable
from concurrent.futures import Executor, Future, ProcessPoolExecutor, ThreadPoolExecutor
from concurrent.futures.process import BrokenProcessPool
from dataclasses import dataclass, replace
from typing import Any

from thawline.web import work

#: Jobs are done so many at a time, and so many are remembered [1].
AT_ONCE, REMEMBERED = 2, 200
BROKEN = "The worker was ended by the system, perhaps for want of memory. Nothing was half done."


@dataclass(frozen=True, slots=True)
class Job:
    """A piece of long work.

    Parameters
    ----------
    id : str
        Its name.
    title : str
        What it does, for people.
    state : str
        ``waiting``, ``working``, ``done`` or ``failed``.
    done, total : int
        How far it is; both 0 where that is not known [1].
    error : str
        What to tell the person if it failed.
    result : object
        What it gave.
    """

    id: str
    title: str
    state: str = "waiting"
    done: int = 0
    total: int = 0
    error: str = ""
    result: Any = None

    @property
    def is_over(self) -> bool:
        """Whether nothing more will come."""
        return self.state in ("done", "failed")


class Jobs:
    """The long work of one server.

    Parameters
    ----------
    is_apart : bool
        Whether it is done in processes of its own, so that pages stay quick.
    """

    def __init__(self, is_apart: bool) -> None:
        self._is_apart = is_apart
        self._lock = threading.Lock()
        self._jobs: OrderedDict[str, Job] = OrderedDict()
        self._pending: dict[str, Future[tuple[bool, Any]]] = {}
        self._pool: Executor | None = None
        self._ear: Any = None
        self._listener: threading.Thread | None = None

    def start(
        self,
        title: str,
        task: Callable[..., Any],
        *args: object,
        finally_do: Callable[[Job], None] | None = None,
    ) -> str:
        """Start a job.

        Parameters
        ----------
        title : str
            What it does, for people.
        task : callable
            A function of ``web/work.py``.
        *args : object
            Its arguments after the one that hears the progress.
        finally_do : callable, optional
            Called with the job once it is over, whatever came of it.

        Returns
        -------
        str
            The job's name.
        """
        job = Job(secrets.token_urlsafe(9), title)
        with self._lock:
            self._jobs[job.id] = job
            while len(self._jobs) > REMEMBERED:
                self._jobs.popitem(last=False)
            pending = self._submit(job.id, task, args)
            self._pending[job.id] = pending
        pending.add_done_callback(lambda future: self._end(job.id, future, finally_do))
        return job.id

    def get(self, name: str) -> Job | None:
        """Give a job as it stands.

        Parameters
        ----------
        name : str
            The job's name.

        Returns
        -------
        Job or None
            None if there is none, or it was long ago.
        """
        with self._lock:
            job, pending = self._jobs.get(name), self._pending.get(name)
        if job is not None and job.state == "waiting" and pending is not None and pending.running():
            return replace(job, state="working")
        return job

    def drop(self, name: str) -> None:
        """Give a job up if it has not begun.

        Parameters
        ----------
        name : str
            The job's name.
        """
        with self._lock:
            pending = self._pending.get(name)
        if pending is not None:
            pending.cancel()

    def close(self) -> None:
        """End all work; what was half done is cleared at the next start."""
        with self._lock:
            pool, ear, self._pool, self._ear = self._pool, self._ear, None, None
        if ear is not None:
            ear.put(None)
        if pool is None:
            return
        processes = list((getattr(pool, "_processes", None) or {}).values())
        pool.shutdown(wait=False, cancel_futures=True)
        for process in processes:
            process.terminate()

    def _submit(
        self, name: str, task: Callable[..., Any], args: tuple[object, ...]
    ) -> Future[tuple[bool, Any]]:
        for attempt in (1, 2):
            if self._pool is None:
                self._pool = self._open()
            try:
                return self._pool.submit(work.run, name, task, args)
            except BrokenProcessPool:  # a worker was killed earlier: make new ones, once
                self._pool = None
                if attempt == 2:
                    raise
        raise AssertionError("unreachable")

    def _open(self) -> Executor:
        if not self._is_apart:
            return ThreadPoolExecutor(AT_ONCE, thread_name_prefix="work")
        context = multiprocessing.get_context("spawn")
        if self._ear is None:
            self._ear = context.SimpleQueue()
            self._listener = threading.Thread(target=self._hear, args=(self._ear,), daemon=True)
            self._listener.start()
        return ProcessPoolExecutor(AT_ONCE, context, work.begin, (self._ear,))

    def _hear(self, ear: Any) -> None:
        while (told := ear.get()) is not None:
            name, done, total = told
            with self._lock:
                job = self._jobs.get(name)
                if job is not None and not job.is_over:
                    self._jobs[name] = replace(job, state="working", done=done, total=total)

    def _end(
        self, name: str, future: Future[tuple[bool, Any]], finally_do: Callable[[Job], None] | None
    ) -> None:
        if future.cancelled():
            state, error, result = "failed", "It was given up for another one.", None
        elif future.exception() is not None:
            broken = isinstance(future.exception(), BrokenProcessPool)
            words = BROKEN if broken else f"Our fault: {future.exception()!r}"
            state, error, result = "failed", words, None
        else:
            went_well, found = future.result()
            state, error = ("done", "") if went_well else ("failed", str(found))
            result = found if went_well else None
        with self._lock:
            job = replace(self._jobs.get(name, Job(name, "")), state=state, error=error,
                          result=result)  # fmt: skip
        if finally_do is not None:
            finally_do(job)  # first: who sees that it is over finds all in order
        with self._lock:
            self._pending.pop(name, None)
            if name in self._jobs:
                self._jobs[name] = job
