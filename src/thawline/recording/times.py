"""Mend a logger's clock: find its jumps, drop what stands in the log twice.

A bus log's times should never run backward. They do where frames of two buses were merged
(by milliseconds: sorted, not reported), where a stretch was written twice (dropped,
reported), and where the logger's clock was set (the jump is taken out, reported). A forward
jump of less than ``FORWARD_S`` is a gap: nothing in the log can tell it from one.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

#: Running back by less is disorder, not a jump [s].
DISORDER_S = 0.5
#: Running forward by more is a clock that was set, not a gap: two days [s].
FORWARD_S = 172_800.0
#: A jump and its return belong together if they differ by less [s].
RETURN_S = 2.0
#: A stretch was written twice if this share of it stands earlier in the log [1].
TWICE = 0.9
#: A strayed stretch is at most this many frames long [1].
STRAY = 2000
#: A stretch that was written twice begins at most this many frames back [1].
RECENT = 1_000_000

#: Odd multipliers that spread bits over a word, for fingerprints [1].
_OF_TIME, _OF_IDENTIFIER = np.uint64(0x9E3779B97F4A7C15), np.uint64(0xC2B2AE3D27D4EB4F)
_OF_WORD = np.uint64(0x165667B19E3779F9)


@dataclass(frozen=True, slots=True)
class ClockState:
    """What is carried from batch to batch.

    Parameters
    ----------
    offset_s : float
        What is added to the log's times from here on [s].
    back_s : float
        The last backward jump that was taken out [s].
    highest_s : float or None
        Latest mended time of the batch before; None before the first [s].
    repeats : bool
        Whether that batch ended within a stretch that was written twice.
    recent : tuple of (ndarray of float64, ndarray of uint64)
        Mended times [s] and fingerprints [1] of the batches before, as far back as a stretch
        that was written twice may begin.
    """

    offset_s: float = 0.0
    back_s: float = 0.0
    highest_s: float | None = None
    repeats: bool = False
    recent: tuple[tuple[NDArray[np.float64], NDArray[np.uint64]], ...] = ()

    def followed_by(
        self, t: NDArray[np.float64], keys: NDArray[np.uint64]
    ) -> tuple[tuple[NDArray[np.float64], NDArray[np.uint64]], ...]:
        """Give what is recent after one more batch.

        Parameters
        ----------
        t : ndarray of float64, shape (n,)
            Its mended times [s].
        keys : ndarray of uint64, shape (n,)
            Its fingerprints [1].

        Returns
        -------
        tuple of (ndarray of float64, ndarray of uint64)
            Mended times [s] and fingerprints [1] of the last batches.
        """
        kept = [(t, keys)]
        count = len(t)
        for batch in reversed(self.recent):
            if count >= RECENT:
                break
            kept.append(batch)
            count += len(batch[0])
        return tuple(reversed(kept))


@dataclass(frozen=True, slots=True)
class Mended:
    """A batch on the mended clock.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Mended times of all frames [s].
    keep : ndarray of bool, shape (n,)
        False for frames that stand in the log twice [1].
    steps : tuple of (float, float)
        Jumps: when, on the mended clock, and by how much [s].
    state : ClockState
        For the next batch.
    """

    t: NDArray[np.float64]
    keep: NDArray[np.bool_]
    steps: tuple[tuple[float, float], ...]
    state: ClockState


def fingerprint(
    t: NDArray[np.float64], identifier: NDArray[np.uint32], data: NDArray[np.uint8]
) -> NDArray[np.uint64]:
    """Make a number that is the same for frames that are the same.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times as the log has them [s].
    identifier : ndarray of uint32, shape (n,)
        Identifiers, the bus folded in [1].
    data : ndarray of uint8, shape (n, width)
        Payloads [1].

    Returns
    -------
    ndarray of uint64, shape (n,)
        Fingerprints [1].
    """
    key = np.round(t * 1e6).astype(np.int64).view(np.uint64) * _OF_TIME
    key ^= identifier.astype(np.uint64) * _OF_IDENTIFIER
    words = np.ascontiguousarray(data).view(np.uint64)
    for column in range(words.shape[1]):  # zeros add nothing, so the width does not matter
        key ^= words[:, column] * (_OF_WORD + np.uint64(2 * column))
    return key


def _written_twice(
    t: NDArray[np.float64],
    keys: NDArray[np.uint64],
    at: int,
    highest: float,
    state: ClockState,
) -> int:
    """Return where a repeated stretch that begins at ``at`` ends, or ``at`` if it is none."""
    after = np.flatnonzero(t[at:] > highest)
    end = at + int(after[0]) if len(after) else len(t)
    if end == at:
        return at
    low = float(t[at:end].min())
    batches = (*state.recent, (t[:at], keys[:at]))
    earlier = np.concatenate([found[times >= low] for times, found in batches])
    known = np.isin(keys[at:end], earlier)
    return end if float(known.mean()) >= TWICE else at


def _strayed_forward(t: NDArray[np.float64], at: int, back: float) -> int | None:
    """Return where a short stretch that ran ahead by ``back`` began, if that is what it was."""
    first = max(1, at - STRAY)
    ahead = np.flatnonzero(np.abs(np.diff(t[first - 1 : at]) - back) < RETURN_S)
    return first + int(ahead[-1]) if len(ahead) else None


def mend(t: NDArray[np.float64], keys: NDArray[np.uint64], state: ClockState) -> Mended:
    """Mend one batch.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times as the log has them [s].
    keys : ndarray of uint64, shape (n,)
        Fingerprints, by ``fingerprint`` [1].
    state : ClockState
        From the batch before, or a fresh one.

    Returns
    -------
    Mended
        The batch on the mended clock.
    """
    raw, t = t, t + state.offset_s
    keep = np.ones(len(t), dtype=bool)
    keep[1:] = (keys[1:] != keys[:-1]) | (raw[1:] != raw[:-1])
    offset, back_by = state.offset_s, state.back_s
    steps: list[tuple[float, float]] = []
    last = float(t[0]) if state.highest_s is None else state.highest_s
    at, repeats = 0, False
    if state.repeats and (at := _written_twice(t, keys, 0, last, state)):
        keep[:at], t[:at], repeats = False, last, at == len(t)
    while at < len(t):
        change = np.diff(t[at:], prepend=last)
        jumps = np.flatnonzero(
            (change < -DISORDER_S) | (change > FORWARD_S) | _is_return(change, back_by)
        )
        if not len(jumps):
            break
        i = at + int(jumps[0])
        before = float(t[i - 1]) if i > 0 else last
        by = float(t[i]) - before
        highest = max(before, float(t[:i].max()) if i else last)
        end = _written_twice(t, keys, i, highest, state) if by < 0 else i
        if end > i:
            keep[i:end] = False
            t[i:end] = highest
            repeats = end == len(t)
        elif by < 0 and (stray := _strayed_forward(t, i, -by)) is not None:
            t[stray:i] += by
            steps.append((float(t[stray]), -by))
        else:
            t[i:] -= by
            offset -= by
            back_by = 0.0 if _returned(by, back_by) else min(by, 0.0)
            steps.append((float(t[i]), by))
        at, last = max(end, i), float(t[max(end, i) - 1]) if max(end, i) else last
        if end == i:
            at, last = i + 1, float(t[i])
    recent = state.followed_by(t, keys)
    after = ClockState(offset, back_by, float(t.max()), repeats, recent)
    return Mended(t, keep, tuple(steps), after)


def _returned(by: float, back_by: float) -> bool:
    return back_by < 0.0 and abs(by + back_by) < RETURN_S


def _is_return(change: NDArray[np.float64], back_by: float) -> NDArray[np.bool_]:
    """Tell which forward jumps undo the last backward one."""
    if back_by >= -RETURN_S:
        return np.zeros(len(change), dtype=bool)
    return np.asarray(np.abs(change + back_by) < RETURN_S)
