"""What is printed while listening where nobody looks at a terminal: a line for what is new."""

from __future__ import annotations

from typing import Any

from thawline.cli.speak import answer
from thawline.cli.watch_words import clock, coming, merged, name_of, still_ahead, troubles
from thawline.live.heartbeat import Heartbeat
from thawline.live.session import Session

#: Time between two lines that say that all is well [s].
EVERY_S = 30.0
#: A turning point that moves by less is the same one [s].
SAME_S = 120.0


class PlainTeller:
    """Prints what is new, and now and then that all is well.

    Parameters
    ----------
    session : Session
        The session.
    """

    def __init__(self, session: Session) -> None:
        self._session = session
        self._told: list[tuple[str, float]] = []
        self._troubles: tuple[str, ...] = ()
        self._last = float("-inf")

    def tell(self, beat: Heartbeat, told: dict[str, Any], disk_told: str = "") -> None:
        """Print what is new.

        Parameters
        ----------
        beat : Heartbeat
            How listening goes.
        told : dict
            What the explaining program told last.
        disk_told : str
            Why the disk takes nothing; empty if it does.
        """
        story = told.get("story")
        zero = self._session.started_at if story is None else story["starts_at"]
        for t_s, what, why in merged(told):
            # its moment and its reasons may yet be told more exactly
            if not any(what == w and abs(t_s - t) < SAME_S for w, t in self._told):
                self._told.append((what, t_s))
                answer(f"{clock(zero + t_s)}  {what}. {why}")
        states = (*(bus.state for bus in beat.buses), beat.state, str(told.get("fault")))
        if states != self._troubles:
            self._troubles = states
            for text in troubles(beat, disk_told, told.get("fault")):
                answer(f"{clock(beat.now)}  {text}")
        if beat.at - self._last >= EVERY_S:
            self._last = beat.at
            answer(
                f"{clock(beat.now)}  {beat.state}: {beat.frames} frames, "
                f"{beat.frames_per_s:.0f} a second, {beat.kept} on disk"
            )
            for point in still_ahead(told) or []:
                answer(f"          {name_of(point)}: {coming(point, beat.now - zero)}")
