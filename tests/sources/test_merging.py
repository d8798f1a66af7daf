"""Merging streams in the order of time."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np
from hypothesis import given
from hypothesis import strategies as st

from thawline.sources.merging import Piece, merged


def stream(times: list[float], bus: int, size: int) -> Iterator[Piece]:
    """Give frames piece by piece; the identifier numbers them."""
    for i in range(0, len(times), size):
        t = np.array(times[i : i + size])
        n = len(t)
        yield Piece(
            t,
            np.arange(i, i + n, dtype=np.uint32),
            np.full(n, bus, np.uint8),
            np.zeros(n, np.uint8),
            np.zeros((n, 8), np.uint8),
            {"fd": 1},
        )


@given(
    st.lists(st.lists(st.integers(0, 20).map(float), max_size=12), min_size=1, max_size=4),
    st.integers(1, 5),
)
def test_sorted_streams_merge_to_a_sorted_whole_that_loses_nothing(
    streams: list[list[float]], size: int
) -> None:
    """Whatever the size of the pieces, times never fall and each stream keeps its order."""
    streams = [sorted(times) for times in streams]
    pieces = list(merged([stream(times, bus, size) for bus, times in enumerate(streams)]))
    found = [
        (float(t), int(bus), int(number))
        for piece in pieces
        for t, bus, number in zip(piece.t, piece.bus, piece.identifier, strict=True)
    ]
    assert [t for t, _, _ in found] == sorted(t for times in streams for t in times)
    for bus, times in enumerate(streams):
        mine = [(t, number) for t, b, number in found if b == bus]
        assert mine == [(t, i) for i, t in enumerate(times)]
    counted = sum(piece.left_out.get("fd", 0) for piece in pieces)
    assert counted == sum(-(-len(times) // size) for times in streams)


def test_streams_that_are_not_sorted_lose_nothing() -> None:
    """A clock step in one group must not swallow frames of another."""
    pieces = list(merged([stream([5, 6, 1, 2], 0, 2), stream([1, 2, 3, 7], 1, 3)]))
    assert sorted(float(t) for piece in pieces for t in piece.t) == [1, 1, 2, 2, 3, 5, 6, 7]
