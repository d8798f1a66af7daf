"""Listen: open the adapters, keep every frame, say once a second how it goes."""

from __future__ import annotations

import threading
import time
from collections import deque
from collections.abc import Sequence
from contextlib import suppress
from pathlib import Path

from thawline.errors import RequestError, VehicleFileError
from thawline.library.handle import Library
from thawline.live import lock
from thawline.live.bus_spec import BusSpec
from thawline.live.events import DROPPED, NOTE, Event, write_event
from thawline.live.heartbeat import Heartbeat, worst, write_heartbeat
from thawline.live.journal import Journal
from thawline.live.listened import ListenedThrough
from thawline.live.listener import Listener
from thawline.live.opening import open_listener
from thawline.live.played import Played, open_played
from thawline.live.session import ListenedBus, make_session
from thawline.live.session_clock import SessionClock
from thawline.recording.wanted import mapped
from thawline.signals.database import read_database
from thawline.vehicle.read import read_vehicle
from thawline.vehicle.vehicle import Vehicle

#: Time between two flushes to the disk; a second is promised [s].
FLUSH_S = 0.5
#: The thread that flushes ends within this time [s].
END_S = 10.0


class Listening:
    """A session that runs in this program. It must be stopped, and its lock let go.

    Parameters
    ----------
    library : Library
        Where it is kept.
    vehicle_file : Path
        The vehicle file.
    databases : sequence of Path
        Signal databases.
    specs : sequence of BusSpec
        The buses; none if a log is played.
    insist : bool
        Whether adapters that cannot listen only are opened all the same.
    play : Path, optional
        A log to be played instead.
    speed : float
        How much faster than time it is played [1].

    Raises
    ------
    InputError
        If a file is at fault, or an adapter cannot be opened or cannot listen only.
    LibraryError
        If the library cannot be written.
    """

    def __init__(
        self,
        library: Library,
        vehicle_file: Path,
        databases: Sequence[Path],
        specs: Sequence[BusSpec],
        *,
        insist: bool = False,
        play: Path | None = None,
        speed: float = 1.0,
    ) -> None:
        vehicle = read_vehicle(vehicle_file)
        mapped(vehicle, read_database(databases))
        if play is None:
            _check_buses(vehicle, specs)
        self._pending: deque[Event] = deque()
        self._disk_told = ""
        self._lost_told, self._has_ended = 0, False
        self._last = (time.monotonic(), 0)
        self._stop = threading.Event()
        played = open_played(play, speed) if play is not None else None
        listeners = _open_all(specs, insist) if play is None else []
        try:
            begins = time.time() if played is None else played[1] + played[2]
            buses = [
                ListenedBus(spec.name, str(spec), listener.told)
                for spec, listener in zip(specs, listeners, strict=False)
            ] or [ListenedBus("log", str(play), f"played at {speed:g} times its speed")]
            self.session, self._lock = make_session(
                library, vehicle, vehicle_file, databases, buses, started_at=begins,
                played=None if play is None else str(play), speed=speed,
            )  # fmt: skip
            self._journal = Journal(self.session.journal)
        except BaseException:
            for listener in listeners:
                listener.close()
            raise
        self.clock = SessionClock(begins, speed if played else 1.0)
        self._sources: list[ListenedThrough | Played] = [
            ListenedThrough(
                spec, listener, self._journal, self.clock, self._pending.append, insist=insist
            )
            for spec, listener in zip(specs, listeners, strict=False)
        ]
        if play is not None and played is not None:
            batches, _, shift = played
            self._sources = [Played(play, batches, shift, self._journal, self.clock)]
        self._flusher = threading.Thread(target=self._flush_on, name="flush", daemon=True)
        self._flusher.start()
        self.beat()

    @property
    def is_done(self) -> bool:
        """Whether nothing more will come: a log was played to its end."""
        return all(source.is_done for source in self._sources)

    def note(self, text: str, at: float | None = None) -> Event:
        """Write down what the person did; it is on disk within a second.

        Parameters
        ----------
        text : str
            The person's words.
        at : float, optional
            Its moment by the session's clock, since 1970-01-01 UTC; None: now [s].

        Returns
        -------
        Event
            The note.

        Raises
        ------
        RequestError
            If it says nothing.
        """
        words = " ".join(text.split())
        if not words:
            raise RequestError("a note must say something", cure="give it a text")
        event = Event(self.clock() if at is None else at, NOTE, words)
        self._pending.append(event)
        return event

    def _flush_on(self) -> None:
        while not self._stop.wait(FLUSH_S):
            with suppress(OSError):
                self._flush()

    def _flush(self) -> None:
        """Bring frames and events to the disk; what a full disk refuses stays for the next time."""
        try:
            self._journal.flush()
            if self._journal.lost > self._lost_told:
                lost = self._journal.lost - self._lost_told
                text = f"{lost} frames were lost: {self._disk_told or 'no room'}"
                self._pending.append(Event(self.clock(), DROPPED, text))
                self._lost_told = self._journal.lost
            while self._pending:
                write_event(self.session.events, self._pending[0])
                self._pending.popleft()
            self._disk_told = ""
        except OSError as error:
            self._disk_told = str(error.strerror or error)
            raise

    def beat(self) -> Heartbeat:
        """Say how it goes, here and in the session's folder; to be called once a second.

        Returns
        -------
        Heartbeat
            This moment.
        """
        buses = tuple(source.beat() for source in self._sources)
        frames = sum(bus.frames for bus in buses)
        now, (before, had) = time.monotonic(), self._last
        rate = (frames - had) / max(now - before, 1e-3)
        self._last = (now, frames)
        state = "ended" if self._has_ended else worst(tuple(bus.state for bus in buses))
        beat = Heartbeat(
            time.time(), self.clock(), self.clock.speed,
            "disk-full" if self._disk_told else state, frames, round(rate, 1),
            self._journal.kept, self._journal.lost, self._journal.size, buses,
        )  # fmt: skip
        write_heartbeat(self.session.folder, beat)
        return beat

    @property
    def disk_told(self) -> str:
        """Why the disk takes nothing at this moment; empty if it does."""
        return self._disk_told

    def stop(self) -> Heartbeat:
        """Stop listening, let the adapters go, and write what is left.

        Returns
        -------
        Heartbeat
            The last one; ``frames`` above ``kept`` says what a full disk did not take.
        """
        for source in self._sources:
            source.stop()
        self._stop.set()
        self._flusher.join(END_S)
        with suppress(OSError):
            self._flush()
        with suppress(OSError):
            self._journal.close()
        self._has_ended = True
        return self.beat()

    def let_go(self) -> None:
        """Let the lock go: another program may take the session over."""
        if self._lock is not None:
            lock.let_go(self._lock)
            self._lock = None


def _check_buses(vehicle: Vehicle, specs: Sequence[BusSpec]) -> None:
    """Make sure that every bus that the vehicle file names is listened to."""
    names = {spec.name for spec in specs}
    if not names:
        raise RequestError(
            "no bus is named", cure="add --bus, for instance --bus slcan:/dev/ttyACM0"
        )
    for signal in vehicle.signals.values():
        if signal.bus is not None and signal.bus not in names:
            raise VehicleFileError(
                f"the bus {signal.bus!r} of {signal.from_!r} is not listened to "
                f"({', '.join(sorted(names))})",
                file=vehicle.file,
                place=f"line {signal.line}",
                cure=f"name it: --bus {signal.bus}=interface:channel",
            )


def _open_all(specs: Sequence[BusSpec], insist: bool) -> list[Listener]:
    """Open all adapters, or none."""
    opened: list[Listener] = []
    try:
        for spec in specs:
            opened.append(open_listener(spec, insist=insist))  # noqa: PERF401 # kept to be closed
    except BaseException:
        for listener in opened:
            listener.close()
        raise
    return opened
