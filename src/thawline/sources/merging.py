"""Merge streams of frames into one in the order of time, without holding them all."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from thawline.sources.payloads import stacked


@dataclass(frozen=True, slots=True)
class Piece:
    """A piece of a stream.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Times [s].
    identifier : ndarray of uint32, shape (n,)
        Identifiers, as in ``Frames`` [1].
    bus, length : ndarray of uint8, shape (n,)
        Numbers of buses [1] and lengths of payloads [byte].
    data : ndarray of uint8, shape (n, 8) or (n, 64)
        Payloads, zero beyond their length [1].
    left_out : mapping of str to int
        What was left out on the way, by reason [1].
    """

    t: NDArray[np.float64]
    identifier: NDArray[np.uint32]
    bus: NDArray[np.uint8]
    length: NDArray[np.uint8]
    data: NDArray[np.uint8]
    left_out: Mapping[str, int] = field(default_factory=dict)

    def at(self, rows: slice | NDArray[np.intp]) -> Piece:
        """Give some of the rows.

        Parameters
        ----------
        rows : slice or ndarray of int
            Which rows [1].

        Returns
        -------
        Piece
            Those rows.
        """
        return Piece(
            self.t[rows], self.identifier[rows], self.bus[rows], self.length[rows], self.data[rows]
        )


def merged(streams: Sequence[Iterator[Piece]]) -> Iterator[Piece]:
    """Merge streams, each in the order of time, into one.

    Parameters
    ----------
    streams : sequence of iterator of Piece
        The streams.

    Yields
    ------
    Piece
        Pieces of the whole; frames of one stream keep their order.
    """
    if len(streams) == 1:
        yield from streams[0]
        return
    waiting: list[Piece | None] = [None] * len(streams)
    left = set(range(len(streams)))
    while left:
        counts: dict[str, int] = {}
        for i in sorted(left):
            held = waiting[i]
            if held is None or not len(held.t):
                fresh = _next_filled(streams[i], counts)
                waiting[i] = fresh
                if fresh is None:
                    left.discard(i)
        if not left:
            if counts:
                yield Piece(*_empty(), left_out=counts)
            return
        # whatever comes later in any stream is later than the earliest of the last times
        limit = min(float(held.t[-1]) for i in left if (held := waiting[i]) is not None)
        ready = []
        for i in sorted(left):
            held = waiting[i]
            if held is not None:
                is_first = float(held.t[-1]) <= limit
                until = len(held.t) if is_first else int(np.searchsorted(held.t, limit, "right"))
                ready.append(held.at(slice(0, until)))
                waiting[i] = held.at(slice(until, None))
        yield _in_order(ready, counts)


def _next_filled(stream: Iterator[Piece], counts: dict[str, int]) -> Piece | None:
    """Draw the next piece that is not empty; note what was left out."""
    for piece in stream:
        for reason, count in piece.left_out.items():
            counts[reason] = counts.get(reason, 0) + count
        if len(piece.t):
            return piece
    return None


def _in_order(parts: Sequence[Piece], left_out: Mapping[str, int]) -> Piece:
    t = np.concatenate([part.t for part in parts])
    order = np.argsort(t, kind="stable")
    return Piece(
        t[order],
        np.concatenate([part.identifier for part in parts])[order],
        np.concatenate([part.bus for part in parts])[order],
        np.concatenate([part.length for part in parts])[order],
        stacked([part.data for part in parts])[order],
        left_out,
    )


def _empty() -> tuple[
    NDArray[np.float64],
    NDArray[np.uint32],
    NDArray[np.uint8],
    NDArray[np.uint8],
    NDArray[np.uint8],
]:
    one = np.zeros(0, np.uint8)
    return np.zeros(0), np.zeros(0, np.uint32), one, one, np.zeros((0, 8), np.uint8)
