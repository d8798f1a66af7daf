"""Who does the work: this process here, or the workers of a cluster (``cluster.py``).

Both give results one by one as they come, an error in place of a result where something fails,
and never stop because of one task.
"""

from __future__ import annotations

import pickle
from collections.abc import Callable, Iterator, Sequence
from contextlib import suppress
from typing import Any, Protocol

#: A task is tried so often again if storage or a worker fails [1].
RETRIES = 2

Task = Callable[..., Any]
Outcome = tuple[int, Any]


class Failure(Exception):  # noqa: N818  # it is handed on as a result, and never raised
    """A task that failed, in words."""


class Again(Exception):  # noqa: N818  # it is handed on as a result, and never raised
    """A task that storage failed: it is worth another try, perhaps by another worker."""


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
        return failed(error)


def failed(error: BaseException) -> Failure:
    """Put an error in words.

    Parameters
    ----------
    error : BaseException
        What was raised.

    Returns
    -------
    Failure
        Its kind and its first line.
    """
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
        return failed(error)


def packed(task: Task, many: Sequence[tuple[Any, ...]]) -> bytes:
    """Pack a task and its arguments into one piece, which a cluster hands on without a look inside.

    Parameters
    ----------
    task : callable
        What is done.
    many : sequence of tuple
        What it takes, one for each time.

    Returns
    -------
    bytes
        What ``guarded_many`` takes.
    """
    return pickle.dumps((task, list(many)), protocol=pickle.HIGHEST_PROTOCOL)


def guarded_many(piece: bytes) -> bytes:
    """Do a task with each of several arguments on a worker.

    Parameters
    ----------
    piece : bytes
        The task and its arguments, by ``packed``.

    Returns
    -------
    bytes
        The results in one piece, a ``Failure`` or an ``Again`` in place of one that fails.
    """
    task, many = pickle.loads(piece)
    found: list[Any] = []
    for given in many:
        try:
            found.append(guarded(task, given))
        except OSError:
            found.append(Again())
    return pickle.dumps(found, protocol=pickle.HIGHEST_PROTOCOL)
