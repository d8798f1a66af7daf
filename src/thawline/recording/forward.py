"""Tell a clock that was set forward from a logger that slept.

A bus goes on while its logger sleeps: each message comes back at some point of its own
period, so that from the last frame before to the first after, less one period, times differ
from message to message by about a period. When the logger's clock is set forward instead,
every message comes exactly one period later plus the same jump.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

#: Periods are taken from this much of the log before the jump [s].
BEFORE_S = 20.0
#: Frames are looked for this long after the jump [s].
AFTER_S = 5.0
#: Messages that must agree [1].
MESSAGES = 4
#: They agree if they come within this many of their own scatters of the jump [1] ...
SCATTERS = 4.0
#: ... and this share of their periods [1].
SHARE = 0.01
#: A message is steady if its intervals scatter by less than this share of the period [1].
STEADY = 0.05
#: An identifier needs this many frames before the jump [1].
FRAMES = 6


def _lateness(
    t: NDArray[np.float64], identifier: NDArray[np.uint32], at: int
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """For each steady message: how much later than due it came, and what it may scatter."""
    low = int(np.searchsorted(t[:at], t[at - 1] - BEFORE_S))
    high = at + int(np.searchsorted(t[at:], t[at] + AFTER_S))
    late, allowed = [], []
    for one in np.unique(identifier[low:at]):
        before = t[low:at][identifier[low:at] == one]
        after = t[at:high][identifier[at:high] == one]
        if len(before) < FRAMES or not len(after):
            continue
        steps = np.diff(before)
        period = float(np.median(steps))
        scatter = float(np.mean(np.abs(steps - period)))
        if period > 0.0 and scatter < STEADY * period:
            late.append(float(after[0] - before[-1]) - period)
            allowed.append(SCATTERS * scatter + SHARE * period)
    return np.array(late), np.array(allowed)


def set_forward(t: NDArray[np.float64], identifier: NDArray[np.uint32], at: int) -> float | None:
    """Tell by how much a clock was set forward between two frames.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times, in order on both sides of the jump [s].
    identifier : ndarray of uint32, shape (n,)
        Identifiers [1].
    at : int
        Index of the first frame after the jump; not 0 [1].

    Returns
    -------
    float or None
        The jump [s]; None if the log was silent instead, or too few steady messages tell.

    Notes
    -----
    For a silence, lateness is spread over about two periods of each message; the chance that
    four of them agree within a tenth of their periods is about one in ten thousand.
    """
    late, allowed = _lateness(t, identifier, at)
    if len(late) < MESSAGES:
        return None
    jump = float(np.median(late))
    return jump if bool(np.all(np.abs(late - jump) < allowed)) else None
