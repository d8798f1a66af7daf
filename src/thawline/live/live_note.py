"""A note that was written while listening."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class LiveNote:
    """A note that was written while listening.

    Parameters
    ----------
    at_s : float
        Its moment, since the snapshot's start [s].
    text : str
        The person's words.
    """

    at_s: float
    text: str
