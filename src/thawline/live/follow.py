"""Follow a session as it grows, from its journal; any program that can read the library may."""

from __future__ import annotations

import time
from collections import Counter

import numpy as np
import polars as pl

from thawline.live.events import BACK, LOST, NOTE, Event, read_events
from thawline.live.growing import Growing
from thawline.live.heartbeat import heartbeat
from thawline.live.interruptions import add_gaps, interruptions
from thawline.live.journal_tail import JournalTail
from thawline.live.live_note import LiveNote
from thawline.live.session import Session
from thawline.recording.pile import GAP_AT_LEAST_S, GAP_INTERVALS
from thawline.recording.recording import ClockStep, Gap, Quality, Recording
from thawline.recording.times import ClockState, fingerprint, mend
from thawline.recording.wanted import mapped
from thawline.signals.catalogue import find_signal
from thawline.signals.database import read_database
from thawline.signals.decode import decode
from thawline.signals.layout import SignalLayout
from thawline.sources.candump import parse_candump
from thawline.sources.frames import Frames
from thawline.vehicle.read import read_vehicle

#: The usual interval is taken from this many batches [1].
MEDIANS = 600


class Follower:
    """What is known of a session; it holds the channels, so keep it. Not for several threads.

    Parameters
    ----------
    session : Session
        The session.

    Raises
    ------
    InputError
        If its vehicle file or databases cannot be read.
    """

    def __init__(self, session: Session) -> None:
        self.session = session
        self._vehicle = read_vehicle(session.vehicle_file)
        self._database = read_database(session.database_files)
        self._wanted: dict[str | None, dict[str, SignalLayout]] = {}
        self._growing: dict[str, Growing] = {}
        layouts = mapped(self._vehicle, self._database)
        for spec in self._vehicle.signals.values():
            name, layout = find_signal(spec.path), layouts[spec.path]
            if name is not None:
                self._growing[spec.path] = Growing(name, spec, layout, self._vehicle)
                self._wanted.setdefault(layout.bus, {})[layout.key] = layout
        self._paths: dict[tuple[str | None, str], list[str]] = {}
        for path, layout in layouts.items():
            self._paths.setdefault((layout.bus, layout.key), []).append(path)
        self._tail = JournalTail(session.journal)
        self._buses: dict[str, int] = {}
        self._clock = ClockState()
        self._zero: float | None = None
        self._last = 0.0
        self._frames = self._duplicates = 0
        self._left_out: Counter[str] = Counter()
        self._steps: list[ClockStep] = []
        self._silent: list[tuple[float, float]] = []
        self._medians: list[float] = []

    def update(self) -> int:
        """Take in what came since the last time.

        Returns
        -------
        int
            Frames that came [1].

        Raises
        ------
        LibraryError
            If the journal is gone, as it is when listening has ended.
        """
        came = 0
        while text := self._tail.read():
            lines = pl.Series("line", text.decode("ascii", "replace").split("\n")[:-1])
            frames = parse_candump(lines, self._buses, True)
            self._left_out.update(frames.left_out)
            if len(frames):
                came += len(frames)
                self._take(frames)
        self._frames += came
        return came

    def _take(self, frames: Frames) -> None:
        keys = fingerprint(
            frames.t,
            frames.identifier ^ (frames.bus.astype(np.uint32) << np.uint32(23)),
            frames.data,
        )
        mended = mend(frames.t, keys, self._clock)
        self._clock = mended.state
        order = np.argsort(mended.t, kind="stable")
        order = order[mended.keep[order]]
        self._duplicates += len(frames) - len(order)
        if not len(order):
            return
        t = mended.t[order]
        kept = Frames(
            t, frames.identifier[order], frames.bus[order], frames.buses,
            frames.length[order], frames.data[order],
        )  # fmt: skip
        if self._zero is None:
            self._zero = self._last = float(t[0])
        zero = self._zero
        self._steps += [ClockStep(at - zero, by) for at, by in mended.steps]
        change = np.diff(t, prepend=max(self._last, 0.0))
        self._medians = [*self._medians[-MEDIANS:], float(np.median(change))]
        self._silent += [
            (float(t[i] - change[i]) - zero, float(t[i]) - zero)
            for i in np.flatnonzero(change > GAP_AT_LEAST_S)
        ]
        self._last = max(self._last, float(t[-1]))
        for bus, signals in self._wanted.items():
            for key, part in decode(kept, list(signals.values())).items():
                for path in self._paths[bus, key]:
                    self._growing[path].append(part, zero)

    def recording(self) -> Recording | None:
        """Give the recording as it stands.

        Returns
        -------
        Recording or None
            Its ``id`` is the session's; signals that come more than twenty times a second are
            thinned to ten. None before the first mapped sample.
        """
        if self._zero is None:
            return None
        zero, duration = self._zero, self._last - self._zero
        least = max(GAP_AT_LEAST_S, GAP_INTERVALS * float(np.median(self._medians)))
        gaps = tuple(Gap(a, b) for a, b in self._silent if b - a > least)
        broken = interruptions(self._events(LOST, BACK), len(self.session.buses), zero, duration)
        gaps = add_gaps(gaps, [each for each in broken if each.is_whole])
        channels = {}
        warnings = list(self._vehicle.warnings)
        for path, growing in self._growing.items():
            channel = growing.channel(gaps)
            warnings += growing.warnings
            if channel is not None:
                channels[path] = channel
        if not channels:
            return None
        warnings += [each.told for each in broken]
        warnings += [
            f"nothing was recorded from {gap.from_s:.1f} s to {gap.to_s:.1f} s" for gap in gaps
        ]
        quality = Quality(
            self._frames, dict(self._left_out), tuple(self._steps), self._duplicates,
            tuple(dict.fromkeys(warnings)),
        )  # fmt: skip
        return Recording(self.session.id, self._vehicle, zero, duration, channels, gaps, quality)

    def _events(self, *kinds: str) -> tuple[Event, ...]:
        return tuple(e for e in read_events(self.session.events) if e.kind in kinds)

    def notes(self) -> tuple[LiveNote, ...]:
        """Give what the person wrote.

        Returns
        -------
        tuple of LiveNote
            In the order in which it was written; empty before the first frame.
        """
        if self._zero is None:
            return ()
        zero = self._zero
        return tuple(LiveNote(max(e.at - zero, 0.0), e.text) for e in self._events(NOTE))

    def now_s(self) -> float | None:
        """Tell the time by the session's clock.

        Returns
        -------
        float or None
            Since the snapshot's start; None before the first frame [s].
        """
        beat = heartbeat(self.session)
        if self._zero is None or beat is None:
            return None
        return beat.clock(time.time()) - self._zero
