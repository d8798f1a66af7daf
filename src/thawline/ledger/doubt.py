"""Find holes across which a straight line cannot be right.

What changes slowly - charge and temperatures of the pack - goes on through a hole. Where it
should have moved by what it did before and after, and did otherwise, something changed unseen:
a supply failed, for instance. Where nothing moved at all, nothing went on: everything was
off, or no time passed and the logger's clock jumped ahead.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from thawline.ledger.bridging import DOUBTED, PLAIN, STOOD_STILL
from thawline.ledger.sensors import step_of
from thawline.recording.powers import BATTERY, CABIN
from thawline.recording.recording import Channel, Gap, Recording

#: Channels that go on slowly.
SLOW = (
    BATTERY + "Temperature.Average",
    BATTERY + "Temperature.Min",
    BATTERY + "Temperature.Max",
    BATTERY + "StateOfCharge.Current",
)
#: Channels that go on a little faster: they may turn in a hole, but do not stand still alone.
BRISK = (
    BATTERY + "Coolant.InletTemperature",
    BATTERY + "Coolant.OutletTemperature",
    CABIN + "AmbientAirTemperature",
)
#: How long before and after a hole their slopes are read [s].
LOOK_S = 240.0
#: Shorter holes are not doubted [s].
SHORTEST_S = 30.0
#: A movement can be told from this many steps of the channel on [1].
STEPS = 2.5
#: The hole is doubted if a channel made less, or more, than these shares of its way [1].
TOO_LITTLE, TOO_MUCH = 0.4, 2.5
#: Nothing went on if all channels that can tell made less than this share of it [1].
STILL = 0.25


def _slope(channel: Channel, begin_s: float, end_s: float) -> float:
    inside = (channel.t >= begin_s) & (channel.t <= end_s)
    if np.count_nonzero(inside) < 4:
        return float("nan")
    t = channel.t[inside]
    spread = t - t.mean()
    return float(np.sum(spread * channel.values[inside]) / max(float(np.sum(spread**2)), 1e-9))


def _way_made(channel: Channel, gap: Gap) -> tuple[float, float] | None:
    """Find the shares of the shortest and of the longest way that a channel made in a hole.

    None where it cannot tell: it stood, or turned, or its way is not much over its steps.
    """
    before = _slope(channel, gap.from_s - LOOK_S, gap.from_s)
    after = _slope(channel, gap.to_s, gap.to_s + LOOK_S)
    if np.isnan(before) or np.isnan(after) or before * after <= 0.0:
        return None
    width = gap.to_s - gap.from_s
    step = max(step_of(channel), 2.0 * channel.noise)
    least = min(abs(before), abs(after)) * width
    if least < STEPS * step:
        return None
    first = channel.values[channel.t <= gap.from_s][-3:]
    last = channel.values[channel.t >= gap.to_s][:3]
    moved = float(np.mean(last) - np.mean(first)) * float(np.sign(before))
    return moved / least, moved / (max(abs(before), abs(after)) * width)


def judged(recording: Recording, gap: Gap) -> int:
    """Judge whether a straight line can be right across a hole.

    Parameters
    ----------
    recording : Recording
        The recording.
    gap : Gap
        The hole.

    Returns
    -------
    int
        ``PLAIN``, ``DOUBTED``, or ``STOOD_STILL`` where nothing went on in it [1].
    """
    if gap.to_s - gap.from_s < SHORTEST_S:
        return PLAIN
    ways, brisk = (
        [
            way
            for path in paths
            if path in recording.channels
            and (way := _way_made(recording.channels[path], gap)) is not None
        ]
        for paths in (SLOW, BRISK)
    )
    if (ways or brisk) and all(abs(of_least) < STILL for of_least, _ in ways + brisk):
        return STOOD_STILL
    if any(of_least < TOO_LITTLE or of_most > TOO_MUCH for of_least, of_most in ways):
        return DOUBTED
    return PLAIN


def judged_ticks(recording: Recording, t: NDArray[np.float64]) -> NDArray[np.int8]:
    """Mark the holes of a recording by what was judged of them.

    Parameters
    ----------
    recording : Recording
        The recording.
    t : ndarray of float64, shape (n,)
        The clock [s].

    Returns
    -------
    ndarray of int8, shape (n,)
        ``DOUBTED`` or ``STOOD_STILL`` inside such holes, ``PLAIN`` elsewhere [1].
    """
    marked = np.full(len(t), PLAIN, dtype=np.int8)
    for gap in recording.gaps:
        marked[(t > gap.from_s) & (t < gap.to_s)] = judged(recording, gap)
    return marked
