"""The whole traffic of a bus: known messages, others that fill it, what the logger does."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.encode import Sent, encode
from thawline.simulator.events import Logger
from thawline.simulator.layout import BusLayout
from thawline.simulator.morning import Morning

#: Messages that fill a bus are sent at these rates [1/s].
FILLER_RATES = (100.0, 50.0, 50.0, 20.0, 10.0, 10.0)
#: Identifiers of 11 bits [1].
IDENTIFIERS = 0x7F0


def _joined(parts: Sequence[Sent]) -> Sent:
    t = np.concatenate([part.t for part in parts])
    order = np.argsort(t, kind="stable")
    return Sent(
        t[order],
        np.concatenate([part.identifier for part in parts])[order],
        np.concatenate([part.size for part in parts])[order],
        np.concatenate([part.data for part in parts])[order],
    )


def _filler(
    layout: BusLayout, duration_s: float, per_s: float, rng: np.random.Generator
) -> list[Sent]:
    """Make messages of unknown meaning: a counter, slow bytes and a checksum."""
    taken = {message.identifier for message in layout.messages}
    free = rng.permutation([number for number in range(0x100, IDENTIFIERS) if number not in taken])
    made: list[Sent] = []
    for i, number in enumerate(free):
        rate = min(per_s, FILLER_RATES[i % len(FILLER_RATES)])
        count = int(rate * duration_s)
        if per_s < 0.05 or count == 0:
            break
        per_s -= rate
        at = np.linspace(0.0, duration_s, count, endpoint=False) + float(rng.uniform(0.0, 0.01))
        data = np.zeros((count, 8), dtype=np.uint8)
        data[:, 0] = np.arange(count) % 16
        data[:, 1:6] = rng.integers(0, 256, 5, dtype=np.uint8)
        data[:, 6] = (np.arange(count) // 97) % 256
        data[:, 7] = data[:, :7].sum(axis=1) % 256
        made.append(
            Sent(
                np.minimum(at, duration_s),
                np.full(count, number, dtype=np.uint32),
                np.full(count, 8, dtype=np.uint8),
                data,
            )
        )
    return made


def traffic(morning: Morning, layout: BusLayout, frames_per_s: float) -> Sent:
    """Make the traffic of a bus.

    Parameters
    ----------
    morning : Morning
        The truth.
    layout : BusLayout
        The bus, its start bits given.
    frames_per_s : float
        Frames per second that other messages fill it up to [1/s].

    Returns
    -------
    Sent
        All frames in order of time.
    """
    rng = np.random.default_rng([morning.scenario.seed, 7])
    known = [encode(morning, message, rng) for message in layout.messages]
    duration = morning.scenario.duration_s
    missing = frames_per_s - sum(len(part.t) for part in known) / duration
    return _joined([*known, *_filler(layout, duration, missing, rng)])


def logged(sent: Sent, logger: Logger) -> Sent:
    """Do to the frames what the logger does: gaps, a clock that jumps, doubled stretches.

    Parameters
    ----------
    sent : Sent
        The frames as they were sent.
    logger : Logger
        What the logger does.

    Returns
    -------
    Sent
        The frames in the order and with the times of the log.
    """
    t, stamp = sent.t, sent.t.copy()
    kept = np.ones(len(t), dtype=bool)
    for begin, end in logger.gaps:
        kept &= (t < begin) | (t >= end)
    for at, by in logger.steps:
        stamp[t >= at] += by
    rows: NDArray[np.int64] = np.flatnonzero(kept)
    for begin, end in logger.doubled:
        first, last = np.searchsorted(t[rows], [begin, end])
        rows = np.concatenate([rows[:last], rows[first:last], rows[last:]])
    return Sent(stamp[rows], sent.identifier[rows], sent.size[rows], sent.data[rows])
