"""Follow a recording that still grows: explained again and again, with what lies ahead."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable
from contextlib import suppress
from dataclasses import dataclass, replace

from thawline.cli.watch_explain import AHEAD_EVERY_S, AHEAD_REST, STORY_EVERY_S, STORY_REST, Ahead
from thawline.errors import ThawlineError
from thawline.forecast.forecast import Forecast
from thawline.library.library import Library
from thawline.live.follow import Follower
from thawline.live.session import Session
from thawline.report.instants import END_S
from thawline.walk import explain
from thawline.web.held import Held, held_of

#: New frames are read this often [s], and a page that nobody looks at is followed so long [s].
EVERY_S, PATIENCE_S = 0.5, 60.0


@dataclass(frozen=True, slots=True)
class Grown:
    """A growing recording as it stood a moment ago.

    Parameters
    ----------
    held : Held or None
        Explained; None before the first sample that says anything.
    forecast : Forecast or None
        What lies ahead; None where nothing can be told yet.
    problem : str
        Why it cannot be followed; empty if all is well.
    """

    held: Held | None = None
    forecast: Forecast | None = None
    problem: str = ""


class Growing:
    """Follows one session for as long as somebody looks.

    Parameters
    ----------
    session : Session
        The session.
    library : Library
        Where earlier mornings are.
    shown : callable
        Called with each new explained snapshot.
    """

    def __init__(self, session: Session, library: Library, shown: Callable[[Held], None]) -> None:
        self.session = session
        self._library, self._shown = library, shown
        self._grown = Grown()
        self._follower: Follower | None = None
        self._wanted = time.monotonic()
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._go, name="grow", daemon=True)
        self._thread.start()

    @property
    def is_alive(self) -> bool:
        """Whether it still follows."""
        return self._thread.is_alive()

    def look(self) -> Grown:
        """Look at the recording, which keeps it followed.

        Returns
        -------
        Grown
            As it stood a moment ago.
        """
        self._wanted = time.monotonic()
        return self._grown

    def now_s(self) -> float | None:
        """Tell what the session's clock shows.

        Returns
        -------
        float or None
            Since the snapshot's start [s]; None before the first sample.
        """
        return None if self._follower is None else self._follower.now_s()

    def close(self) -> None:
        """Stop following."""
        self._stop.set()

    def _go(self) -> None:
        try:
            follower = Follower(self.session)
            self._follower = follower
            ahead, story_at, ahead_at = Ahead(self._library), 0.0, 0.0
            while not self._stop.wait(EVERY_S):
                if time.monotonic() - self._wanted > PATIENCE_S:
                    return
                follower.update()
                if time.monotonic() >= story_at:
                    story_at = self._tell(follower)
                if time.monotonic() >= ahead_at and self._grown.held is not None:
                    ahead_at = self._look_ahead(ahead)
        except ThawlineError as error:  # the session ended, or its files cannot be read
            self._grown = replace(self._grown, problem=str(error))

    def _tell(self, follower: Follower) -> float:
        """Explain the snapshot; the answer is when to do so again."""
        began = time.monotonic()
        snapshot = follower.recording()
        if snapshot is not None and snapshot.duration_s > END_S:
            written = [(note.at_s, note.text) for note in follower.notes()]
            with suppress(ThawlineError):  # too little is known yet
                held = held_of(explain(snapshot, written))
                self._grown = replace(self._grown, held=held)
                self._shown(held)
        return time.monotonic() + max(STORY_EVERY_S, STORY_REST * (time.monotonic() - began))

    def _look_ahead(self, ahead: Ahead) -> float:
        began = time.monotonic()
        held = self._grown.held
        if held is not None:
            with suppress(ThawlineError):  # nothing can be foretold yet
                found = ahead.look(held.explained.recording)
                self._grown = replace(self._grown, forecast=found)
        return time.monotonic() + max(AHEAD_EVERY_S, AHEAD_REST * (time.monotonic() - began))
