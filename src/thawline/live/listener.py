"""What every way of listening gives: lines of candump text, and how it listens."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Protocol

from thawline.errors import RequestError


@dataclass(frozen=True, slots=True)
class Received:
    """What came since the last time.

    Parameters
    ----------
    text : bytes
        Lines of candump text.
    frames : int
        How many frames they are [1].
    unreadable : int
        Pieces that were no frame [1].
    """

    text: bytes = b""
    frames: int = 0
    unreadable: int = 0


#: Gives the time, since 1970-01-01 UTC [s].
Clock = Callable[[], float]


class Listener(Protocol):
    """An adapter that is open. It has no way to send."""

    #: How it listens, in plain words.
    told: str

    def receive(self, clock: Clock) -> Received:
        """Wait a moment for frames and give them.

        Parameters
        ----------
        clock : callable
            Gives the time.

        Returns
        -------
        Received
            What came; nothing after a tenth of a second of silence.

        Raises
        ------
        OSError or can.CanError
            If the adapter is gone.
        """
        ...

    def close(self) -> None:
        """Let the adapter go."""
        ...


def refuse(what: str, why: str, cure: str) -> RequestError:
    """Word the refusal of an adapter that may not listen only.

    Parameters
    ----------
    what : str
        The adapter.
    why : str
        What is known of it.
    cure : str
        How to make it listen only.

    Returns
    -------
    RequestError
        The error, to be raised.
    """
    return RequestError(
        f"{what}: {why}. A node that does not listen only acknowledges every frame and may "
        "answer with error frames; at a wrong bit rate it disturbs the bus, and control units "
        "may store faults or stop a charge",
        cure=f"{cure}; --insist listens all the same (no frame is ever sent), at your own risk",
    )
