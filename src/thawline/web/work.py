"""What is done apart from the pages, in a process of its own: adding, forecasting, learning."""

from __future__ import annotations

import signal
import time
from collections.abc import Callable
from functools import lru_cache
from pathlib import Path
from typing import Any, Protocol

from thawline.charge.learn import learn_from, look_at
from thawline.charge.learned import Learned
from thawline.errors import InputError, ThawlineError
from thawline.forecast.forecast import Forecast
from thawline.library.handle import Library
from thawline.library.load import load
from thawline.looking import Earlier, forecast_from, learn_earlier
from thawline.plan.asked import Asked
from thawline.plan.plan import Plan
from thawline.planning import plan_for
from thawline.trip.traces import find_trace
from thawline.walk import add
from thawline.web.uploads import without_folder

#: Progress is told at most so often [s].
EVERY_S = 0.1

Tell = Callable[[int, int], None]


class Ear(Protocol):
    """Something that progress can be told to."""

    def put(self, told: tuple[str, int, int]) -> None:
        """Tell the progress of a job.

        Parameters
        ----------
        told : tuple
            The job's name, what is done, and what there is in all [1].
        """


_ear: list[Ear] = []


def begin(ear: Ear) -> None:
    """Make a worker ready.

    Parameters
    ----------
    ear : Ear
        What progress is told to.
    """
    signal.signal(signal.SIGINT, signal.SIG_IGN)  # the pages' own process ends us
    _ear[:] = [ear]


def run(job: str, task: Callable[..., Any], args: tuple[Any, ...]) -> tuple[bool, Any]:
    """Do one job.

    Parameters
    ----------
    job : str
        Its name.
    task : callable
        A function of this file; its first argument hears the progress.
    args : tuple
        Its other arguments.

    Returns
    -------
    tuple
        True and the result, or False and what to tell the person.
    """
    last = [0.0]

    def tell(done: int, total: int) -> None:
        now = time.monotonic()
        if _ear and (now - last[0] >= EVERY_S or done >= total):
            last[0] = now
            _ear[0].put((job, done, total))

    try:
        return True, task(tell, *args)
    except ThawlineError as error:
        return False, str(error)


def add_logs(
    tell: Tell,
    library: Path,
    groups: list[list[Path]],
    databases: list[Path],
    vehicle_file: Path,
    starts_at: float | None,
    keep_all: bool,
    upload: Path,
) -> list[str]:
    """Add logs to a library.

    Parameters
    ----------
    tell : callable
        Hears the progress.
    library : Path
        The library's folder.
    groups : list of list of Path
        Logs or tables, a list for each recording.
    databases : list of Path
        Signal databases.
    vehicle_file : Path
        The vehicle file.
    starts_at : float or None
        When they began, for logs without a date, since 1970-01-01 UTC [s].
    keep_all : bool
        Whether signals that the vehicle file does not map are kept as well.
    upload : Path
        Folder of the upload, of which messages say nothing.

    Returns
    -------
    list of str
        Names of the recordings.

    Raises
    ------
    InputError
        If a file is at fault; the message is that of the command.
    """
    made = []
    for group in groups:
        try:
            added = add(
                group, databases, vehicle_file, Library(library), starts_at=starts_at,
                progress=tell, keep_all=keep_all,
            )  # fmt: skip
        except InputError as error:
            raise type(error)(without_folder(str(error), upload)) from error
        made.append(added.recording.id)
    return made


@lru_cache(maxsize=8)
def _earlier(library: Path, name: str) -> Earlier:
    opened = Library(library)
    return learn_earlier(opened, load(opened, name))


def look_from(tell: Tell, library: Path, name: str, at_s: float) -> Forecast:
    """Forecast from an instant of a recording.

    Parameters
    ----------
    tell : callable
        Hears the progress.
    library : Path
        The library's folder.
    name : str
        The recording's whole name.
    at_s : float
        The instant, since the recording's start [s].

    Returns
    -------
    Forecast
        What would have been said then.
    """
    tell(0, 2)
    earlier = _earlier(library, name)
    tell(1, 2)
    return forecast_from(load(Library(library), name), earlier, at_s)


def learn_vehicle(tell: Tell, library: Path, names: tuple[str, ...]) -> Learned:
    """Learn what a vehicle's cells allow.

    Parameters
    ----------
    tell : callable
        Hears the progress.
    library : Path
        The library's folder.
    names : tuple of str
        Whole names of its recordings.

    Returns
    -------
    Learned
        What they taught.
    """
    opened, total = Library(library), len(names) + 1

    def each() -> Any:
        for done, name in enumerate(names):
            tell(done, total)
            yield load(opened, name)

    return learn_from(look_at(each()))


def make_plan(tell: Tell, library: Path, vehicle: str, asked: Asked, trip: str) -> Plan:
    """Plan what to do before leaving.

    Parameters
    ----------
    tell : callable
        Hears the progress.
    library : Path
        The library's folder.
    vehicle : str
        Name of a vehicle in it.
    asked : Asked
        What is asked for.
    trip : str
        A shipped first trip; empty for none.

    Returns
    -------
    Plan
        The plan.
    """
    driven = (trip, find_trace(trip)) if trip else None
    return plan_for(
        Library(library), vehicle, asked, driven, progress=lambda _, done, total: tell(done, total)
    )
