"""Play a log as if it were a bus, at any speed; frames keep the log's own times."""

from __future__ import annotations

import threading
import time
from collections.abc import Iterator
from itertools import chain
from pathlib import Path

import numpy as np

from thawline.errors import RequestError, SourceError, ThawlineError
from thawline.live.frame_lines import lines_of
from thawline.live.heartbeat import BusBeat
from thawline.live.journal import Journal
from thawline.live.session_clock import SessionClock
from thawline.sources.by_suffix import open_source
from thawline.sources.frames import Frames
from thawline.sources.table import Table

#: Time between two helpings of frames [s].
EVERY_S = 0.02
#: Lines that are written at once, at most [1].
AT_ONCE = 20_000
#: The thread ends within this time when it is told to [s].
END_S = 5.0


def open_played(path: Path, speed: float) -> tuple[Iterator[Frames], float, float]:
    """Open a log to be played.

    Parameters
    ----------
    path : Path
        A log of raw frames.
    speed : float
        How much faster than time [1].

    Returns
    -------
    batches : iterator of Frames
        The log.
    first : float
        Time of its first frame [s].
    shift : float
        To be added to its times, so that a log without a date begins now [s].

    Raises
    ------
    RequestError
        If the speed is none.
    SourceError
        If the log cannot be read, or holds no frames.
    """
    if not 0.0 < speed < float("inf"):
        raise RequestError(f"--speed (={speed:g}) must be above 0", cure="for instance --speed 10")
    source = open_source(path)
    if isinstance(source, Table):
        raise SourceError(
            "this is a table; only logs of raw frames can be played",
            file=path,
            cure="add it with `thawline add`",
        )
    skipped = []
    for frames in source:
        skipped.append(frames)
        if len(frames):
            first = float(frames.t[0])
            shift = 0.0 if frames.is_epoch else time.time() - first
            return chain(skipped, source), first, shift
    raise SourceError("holds no data frame", file=path)


class Played:
    """A log that is played until its end, or until it is told to stop.

    Parameters
    ----------
    path : Path
        The log.
    batches : iterator of Frames
        What ``open_played`` gave.
    shift : float
        The same [s].
    journal : Journal
        Where frames go.
    clock : SessionClock
        The session's clock, which begins at the log's first frame.
    """

    def __init__(
        self,
        path: Path,
        batches: Iterator[Frames],
        shift: float,
        journal: Journal,
        clock: SessionClock,
    ) -> None:
        self._path, self._batches, self._shift = path, batches, shift
        self._journal, self._clock = journal, clock
        self._frames = self._unreadable = 0
        self._told, self._is_done = "", False
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name="log", daemon=True)
        self._thread.start()

    @property
    def is_done(self) -> bool:
        """Whether the log is at its end."""
        return self._is_done

    def _run(self) -> None:
        try:
            for frames in self._batches:
                self._unreadable += sum(frames.left_out.values())
                self._play(frames)
                if self._stop.is_set():
                    break
        except ThawlineError as error:
            self._told = str(error)
        self._is_done = True

    def _play(self, frames: Frames) -> None:
        times = frames.t + self._shift
        # frames that ran back in time are due when those before them are
        due = np.maximum.accumulate(times)
        lines, done = [], 0
        while done < len(due) and not self._stop.is_set():
            until = int(np.searchsorted(due, self._clock(), side="right"))
            until = min(until, done + AT_ONCE)
            if until > done:
                part = slice(done, until)
                batch = Frames(
                    frames.t[part],
                    frames.identifier[part],
                    frames.bus[part],
                    frames.buses,
                    frames.length[part],
                    frames.data[part],
                )
                lines = lines_of(batch, times[part])
                self._journal.append(b"".join(lines), len(lines))
                self._frames += len(lines)
                done = until
            else:
                self._stop.wait(EVERY_S)

    def beat(self) -> BusBeat:
        """Say how it goes.

        Returns
        -------
        BusBeat
            The log at this moment.
        """
        told = self._told or (f"{self._path.name} is at its end" if self._is_done else "")
        state = "ended" if self._is_done else "listening"
        return BusBeat("log", state, self._frames, self._unreadable, told)

    def stop(self) -> None:
        """Stop playing."""
        self._stop.set()
        self._thread.join(END_S)
