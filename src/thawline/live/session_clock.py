"""The clock of a session: it never jumps, and runs faster where a log is played faster."""

from __future__ import annotations

import time


class SessionClock:
    """A clock that is set once and then only runs forward.

    Parameters
    ----------
    begins_at : float
        What it shows at first, since 1970-01-01 UTC [s].
    speed : float
        How much faster than time it runs [1].
    """

    def __init__(self, begins_at: float, speed: float = 1.0) -> None:
        self.begins_at, self.speed = begins_at, speed
        self._zero = time.monotonic()

    def __call__(self) -> float:
        """Tell the time, since 1970-01-01 UTC [s]."""
        return self.begins_at + (time.monotonic() - self._zero) * self.speed
