"""Listen to one bus in a thread of its own, and reconnect when the adapter goes."""

from __future__ import annotations

import threading
import time
from collections.abc import Callable

import can

from thawline.errors import ThawlineError
from thawline.live.bus_spec import BusSpec
from thawline.live.events import BACK, LOST, Event
from thawline.live.heartbeat import BusBeat
from thawline.live.journal import Journal
from thawline.live.listener import Clock, Listener
from thawline.live.opening import open_listener

#: A bus without a frame for this long is called silent [s].
SILENT_S = 5.0
#: Pauses before an adapter that went is tried again: the first, and the longest [s].
FIRST_PAUSE_S, LONGEST_PAUSE_S = 0.5, 10.0
#: A thread ends within this time when it is told to [s].
END_S = 5.0


class ListenedThrough:
    """One bus that is listened to until it is told to stop.

    Parameters
    ----------
    spec : BusSpec
        The bus and its adapter.
    listener : Listener
        The adapter, open.
    journal : Journal
        Where frames go.
    clock : callable
        The session's clock.
    tell : callable
        Takes what happens to the adapter.
    insist : bool
        Whether it is opened anew although it cannot listen only.
    """

    def __init__(
        self,
        spec: BusSpec,
        listener: Listener,
        journal: Journal,
        clock: Clock,
        tell: Callable[[Event], None],
        *,
        insist: bool = False,
    ) -> None:
        self.spec = spec
        self._listener: Listener | None = listener
        self._journal, self._clock, self._tell, self._insist = journal, clock, tell, insist
        self._frames = self._unreadable = 0
        self._heard = time.monotonic()
        self._heard_at = clock()
        self._lost_because = ""
        self._stop = threading.Event()
        self._thread = threading.Thread(target=self._run, name=f"bus {spec.name}", daemon=True)
        self._thread.start()

    @property
    def is_done(self) -> bool:
        """Whether nothing more will come; a bus is never done."""
        return False

    def _run(self) -> None:
        while not self._stop.is_set():
            if self._listener is None:
                self._reconnect()
                continue
            try:
                received = self._listener.receive(self._clock)
            except (can.CanError, OSError) as error:
                self._lose(str(error))
                continue
            self._unreadable += received.unreadable
            if received.text:
                self._journal.append(received.text, received.frames)
            if received.frames:
                self._frames += received.frames
                self._heard, self._heard_at = time.monotonic(), self._clock()
        if self._listener is not None:
            self._listener.close()

    def _lose(self, because: str) -> None:
        if self._listener is not None:
            self._listener.close()
        self._listener, self._lost_because = None, because
        self._tell(Event(self._heard_at, LOST, because, self.spec.name))

    def _reconnect(self) -> None:
        pause = FIRST_PAUSE_S
        while not self._stop.wait(pause):
            try:
                self._listener = open_listener(self.spec, insist=self._insist)
            except ThawlineError as error:
                self._lost_because = getattr(error, "what", str(error))
                pause = min(2.0 * pause, LONGEST_PAUSE_S)
                continue
            self._heard = time.monotonic()
            self._tell(Event(self._clock(), BACK, self._listener.told, self.spec.name))
            return

    def beat(self) -> BusBeat:
        """Say how it goes.

        Returns
        -------
        BusBeat
            The bus at this moment.
        """
        state, told = "listening", ""
        quiet = time.monotonic() - self._heard
        if self._listener is None:
            state, told = "lost", f"{self.spec}: {self._lost_because}; trying again"
        elif quiet > SILENT_S:
            state, told = "silent", self._silence(quiet)
        return BusBeat(self.spec.name, state, self._frames, self._unreadable, told)

    def _silence(self, quiet: float) -> str:
        if self._frames:
            return f"no frame on {self.spec.name} for {quiet:.0f} s; the car may be asleep"
        if self._unreadable:
            return (
                f"{self._unreadable} errors and no frame on {self.spec.name} for {quiet:.0f} s: "
                f"is {self.spec.bitrate} bit/s the bus's rate (--bitrate)?"
            )
        return (
            f"no frame on {self.spec.name} for {quiet:.0f} s: is the car awake, is "
            f"{self.spec.bitrate} bit/s the bus's rate (--bitrate), are both wires of the bus "
            "connected?"
        )

    def stop(self) -> None:
        """Stop listening and let the adapter go."""
        self._stop.set()
        self._thread.join(END_S)
