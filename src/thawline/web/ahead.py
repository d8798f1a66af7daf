"""What a forecast would have said at an instant; asked for from a page, made apart."""

from __future__ import annotations

import threading
from collections import OrderedDict

from thawline.library.library import Library
from thawline.web.jobs import Job, Jobs
from thawline.web.work import look_from

#: Instants are this far apart: forecasts from one and the same are made once [s].
GRID_S = 15.0
#: Forecasts remembered [1].
REMEMBERED = 400


class Ahead:
    """Forecasts that were asked for, by recording and instant.

    Parameters
    ----------
    library : Library
        Where the recordings are.
    jobs : Jobs
        Who makes them.
    """

    def __init__(self, library: Library, jobs: Jobs) -> None:
        self._library, self._jobs = library, jobs
        self._lock = threading.Lock()
        self._asked: OrderedDict[tuple[str, float], str] = OrderedDict()
        self._latest = ""

    def ask(self, name: str, at_s: float) -> Job:
        """Ask for a forecast; the one asked for before is given up if it has not begun.

        Parameters
        ----------
        name : str
            The recording's whole name.
        at_s : float
            The instant, since its start [s].

        Returns
        -------
        Job
            Its work as it stands; the result is a ``Forecast``.
        """
        key = (name, at_s)
        with self._lock:
            job = self._jobs.get(self._asked.get(key, ""))
            if job is not None and job.state != "failed":
                return job
            if self._latest:
                self._jobs.drop(self._latest)
            started = self._jobs.start(
                f"Forecast from {at_s:g} s", look_from, self._library.folder, name, at_s
            )
            self._asked[key] = self._latest = started
            while len(self._asked) > REMEMBERED:
                self._asked.popitem(last=False)
        return self._jobs.get(started) or Job(started, "")


def on_grid(t_s: float, duration_s: float) -> float:
    """Put an instant on the grid of instants at which forecasts are made.

    Parameters
    ----------
    t_s : float
        The instant [s].
    duration_s : float
        Length of the recording [s].

    Returns
    -------
    float
        The last instant of the grid that is not after it, within the recording [s].
    """
    return min(max(t_s // GRID_S * GRID_S, 0.0), duration_s)
