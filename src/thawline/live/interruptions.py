"""Times in which an adapter was gone, told as gaps and in plain words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from thawline.live.events import LOST, Event
from thawline.recording.recording import Gap


@dataclass(frozen=True, slots=True)
class Interruption:
    """A time in which one adapter was gone.

    Parameters
    ----------
    bus : str
        Its bus.
    from_s, to_s : float
        Last frame before, and when it was back or listening ended [s].
    because : str
        What the system said.
    is_whole : bool
        Whether nothing else was listened to meanwhile, so that nothing was recorded.
    """

    bus: str
    from_s: float
    to_s: float
    because: str
    is_whole: bool

    @property
    def told(self) -> str:
        """Say it in plain words."""
        return (
            f"the adapter on {self.bus} was gone from {self.from_s:.1f} s to {self.to_s:.1f} s "
            f"({self.because})"
        )


def interruptions(
    events: Sequence[Event], buses: int, zero: float, duration_s: float
) -> tuple[Interruption, ...]:
    """Pair the losses of adapters with their returns.

    Parameters
    ----------
    events : sequence of Event
        Events of the session, in order.
    buses : int
        How many buses are listened to [1].
    zero : float
        The recording's start, by the session's clock [s].
    duration_s : float
        The recording's length; what is not back by then ends there [s].

    Returns
    -------
    tuple of Interruption
        Within the recording, in order of their end.
    """
    found, gone = [], dict[str, Event]()
    for event in events:
        if event.kind == LOST:
            gone.setdefault(event.bus, event)
        elif event.bus in gone:
            found.append((gone.pop(event.bus), event.at - zero))
    found += [(event, duration_s) for event in gone.values()]
    return tuple(
        Interruption(
            event.bus, max(event.at - zero, 0.0), min(to, duration_s), event.text, buses == 1
        )
        for event, to in found
        if min(to, duration_s) > max(event.at - zero, 0.0)
    )


def add_gaps(gaps: Sequence[Gap], broken: Sequence[Interruption]) -> tuple[Gap, ...]:
    """Add interruptions to the gaps that silence tells.

    Parameters
    ----------
    gaps : sequence of Gap
        What silence tells.
    broken : sequence of Interruption
        Times in which nothing was listened to.

    Returns
    -------
    tuple of Gap
        All of them in order; an interruption within a silence adds nothing.
    """
    more = [
        Gap(each.from_s, each.to_s)
        for each in broken
        if not any(gap.from_s < each.to_s and each.from_s < gap.to_s for gap in gaps)
    ]
    return tuple(sorted([*gaps, *more], key=lambda gap: gap.from_s))
