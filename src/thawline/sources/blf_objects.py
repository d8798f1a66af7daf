"""Read the objects of a BLF log, whole stretches at a time.

The layout of headers and objects is that of python-can's reader (``can/io/blf.py``, version
4.6), which was worked out from files: no specification is published.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.sources.frames import EXTENDED
from thawline.sources.merging import Piece
from thawline.sources.payloads import CLASSIC, WIDEST, cleared, stacked

#: Common start of every object, then the rest of the two kinds of header.
_BASE = [
    ("signature", "S4"),
    ("header", "<u2"),
    ("version", "<u2"),
    ("size", "<u4"),
    ("type", "<u4"),
]
_REST = {
    1: [("flags", "<u4"), ("unused", "V4"), ("time", "<u8")],
    2: [("flags", "<u4"), ("unused", "V4"), ("time", "<u8"), ("original", "V8")],
}
#: Bodies of the objects that hold frames, by type, up to the payload.
_BODIES = {
    1: [("channel", "<u2"), ("mark", "u1"), ("dlc", "u1"), ("id", "<u4")],
    100: [
        ("channel", "<u2"), ("mark", "u1"), ("dlc", "u1"), ("id", "<u4"), ("frame", "V5"),
        ("fd", "u1"), ("valid", "u1"), ("gap", "V5"),
    ],
    101: [
        ("channel", "u1"), ("dlc", "u1"), ("valid", "u1"), ("count", "u1"), ("id", "<u4"),
        ("frame", "V4"), ("mark", "<u4"), ("rates", "V18"), ("direction", "u1"),
        ("extra", "u1"), ("check", "<u4"),
    ],
}  # fmt: skip
_BODIES[86] = _BODIES[1]
#: Objects that may hold frames with a flexible data rate, by type.
FLEXIBLE = (100, 101)
#: Objects that are error frames, by type.
ERRORS = (2, 73)
#: Mark of remote frames, by type of object.
_REMOTE = {1: 0x80, 86: 0x80, 100: 0x80, 101: 0x10}
#: Ticks of a clock whose flag is 1, and of any other [s].
COARSE_TICK_S, FINE_TICK_S = 1e-5, 1e-9
SIGNATURE = b"LOBJ"
BASE_BYTES = 16
#: Objects begin at multiples of this, and the first one within so many bytes [byte].
ALIGNED, LOOK_FOR_BYTES = 4, 64
_SIGNATURE_WORD = np.frombuffer(SIGNATURE, "<u4")[0]
#: No object is longer than this [byte]; and a log has no more buses than a byte can number.
LARGEST, MOST_BUSES = 1 << 24, 255
#: Stands for the length of a frame that is left out [byte].
_NONE = 255


def find_objects(content: NDArray[np.uint8]) -> tuple[NDArray[np.int64], int]:
    """Find where objects begin.

    Parameters
    ----------
    content : ndarray of uint8, shape (n,)
        Unpacked content; it begins at an object or at its padding [1].

    Returns
    -------
    tuple of ndarray of int64 and int
        Starts of the objects that are whole [byte], and where the rest begins [byte].
    """
    packed = _back_to_back(content)
    if packed is not None:
        starts, ends = packed
        whole = ends <= len(content)
        return starts[whole], int(ends[-1]) if whole.all() else int(starts[~whole][0])
    starts = np.flatnonzero(content[: max(len(content) - BASE_BYTES + 1, 0)] == SIGNATURE[0])
    for i, sign in enumerate(SIGNATURE[1:], 1):
        starts = starts[content[starts + i] == sign]
    if not len(starts):
        return starts, max(0, len(content) - len(SIGNATURE) + 1)
    size = sum(content[starts + 8 + i].astype(np.int64) << (8 * i) for i in range(4))
    size = np.where(size > LARGEST, BASE_BYTES, size)  # a damaged size must not swallow the rest
    ends = starts + np.maximum(size, BASE_BYTES)
    # a payload may hold the signature: what begins before the last object ended is none
    inside = starts[1:] < ends[:-1]
    if inside.any():
        starts, ends = _chained(starts, ends)
    whole = ends <= len(content)
    rest = int(starts[~whole][0]) if not whole.all() else int(ends[-1])
    return starts[whole], rest


def _back_to_back(
    content: NDArray[np.uint8],
) -> tuple[NDArray[np.int64], NDArray[np.int64]] | None:
    """Find objects that follow one another, as writers lay them; None if these do not."""
    begin = content[:LOOK_FOR_BYTES].tobytes().find(SIGNATURE)
    count = (len(content) - begin - BASE_BYTES) // ALIGNED + 1
    if begin < 0 or count < 1:
        return None
    words = content[begin : begin + (len(content) - begin) // ALIGNED * ALIGNED].view("<u4")
    at = np.flatnonzero(words[:count] == _SIGNATURE_WORD)
    starts = begin + ALIGNED * at
    ends = starts + np.maximum(words[at + 2].astype(np.int64), BASE_BYTES)
    between = starts[1:] - ends[:-1]  # padding, up to the next word
    if len(between) and not 0 <= int(between.min()) <= int(between.max()) < ALIGNED:
        return None
    return (starts, ends) if int(ends[-1]) - int(starts[-1]) <= LARGEST else None


def _chained(
    starts: NDArray[np.int64], ends: NDArray[np.int64]
) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Go from object to object, one by one."""
    keep, until = [], -1
    for i, start in enumerate(starts.tolist()):
        if start >= until:
            keep.append(i)
            until = int(ends[i])
    return starts[keep], ends[keep]


def read_objects(
    content: NDArray[np.uint8], starts: NDArray[np.int64], buses: dict[str, int]
) -> Piece:
    """Read the frames among objects, in their order.

    Parameters
    ----------
    content : ndarray of uint8, shape (n,)
        Unpacked content [1].
    starts : ndarray of int64, shape (k,)
        Starts of whole objects [byte].
    buses : dict of str to int
        Numbers of the buses so far; new ones are added [1].

    Returns
    -------
    Piece
        The frames, times since the log's start.
    """
    base = _records(content, starts, np.dtype(_BASE))
    parts: list[tuple[NDArray[np.int64], Piece]] = []
    types, versions = base["type"].copy(), base["version"].copy()
    left_out = {"error": sum(int(np.count_nonzero(types == kind)) for kind in ERRORS)}
    for kind, body in _BODIES.items():
        for version, rest in _REST.items():
            is_mine = types == kind
            if not is_mine.any():
                continue
            mine = np.flatnonzero(is_mine & (versions == version))
            if not len(mine):
                continue
            layout = [*_BASE, *rest, *body]
            fields = _with_payload(content, starts[mine], layout, CLASSIC)
            if int(_stated(fields).max()) > CLASSIC and kind in FLEXIBLE:
                fields = _with_payload(content, starts[mine], layout, WIDEST)
            parts.append((mine, _piece(fields, kind, buses, left_out)))
    return _together(parts, {reason: count for reason, count in left_out.items() if count})


def _records(
    content: NDArray[np.uint8], starts: NDArray[np.int64], layout: np.dtype[np.void]
) -> NDArray[np.void]:
    """Give records of one layout; those near the end of the content are filled up."""
    size = layout.itemsize
    step = int(starts[1] - starts[0]) if len(starts) > 1 else 0
    if step >= size and bool((np.diff(starts) == step).all()):  # no need for a copy
        begin, end = int(starts[0]), int(starts[-1]) + size
        if end <= len(content):
            return np.ndarray(len(starts), layout, content, begin, (step,))
    if len(starts) and int(starts[-1]) + size > len(content):
        content = np.concatenate([content, np.zeros(size, np.uint8)])
    if not len(starts):
        return np.zeros(0, layout)
    windows = np.lib.stride_tricks.sliding_window_view(content, size)
    return windows[starts].view(layout)[:, 0]


def _with_payload(
    content: NDArray[np.uint8], starts: NDArray[np.int64], layout: list[Any], width: int
) -> NDArray[np.void]:
    return _records(content, starts, np.dtype([*layout, ("data", "u1", (width,))]))


def _stated(fields: NDArray[np.void]) -> NDArray[np.uint8]:
    """Give the payload bytes that objects state."""
    names = fields.dtype.names or ()
    stated: NDArray[np.uint8] = fields["valid" if "valid" in names else "dlc"]
    return np.minimum(stated, np.uint8(WIDEST))


def _present(fields: NDArray[np.void], length: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Give the payload bytes that objects really have; zeros are understood for the rest."""
    begin = fields.dtype.fields["data"][1] if fields.dtype.fields else 0
    end = fields["size"].astype(np.int64)
    if "extra" in (fields.dtype.names or ()):  # something else may stand behind the payload
        end = np.where(fields["extra"] != 0, np.minimum(fields["extra"], end), end)
    return np.clip(end - begin, 0, length).astype(np.uint8)


def _piece(
    fields: NDArray[np.void], kind: int, buses: dict[str, int], left_out: dict[str, int]
) -> Piece:
    """Turn objects of one kind into frames; rows that are none get the length _NONE."""
    number = fields["id"]
    tick = np.where(fields["flags"] == 1, COARSE_TICK_S, FINE_TICK_S)
    length = np.minimum(_stated(fields), fields["data"].shape[1]).astype(np.uint8)
    remote = (fields["mark"] & _REMOTE[kind]) != 0
    left_out["remote"] = left_out.get("remote", 0) + int(remote.sum())
    data = cleared(fields["data"].copy(), _present(fields, length))
    channel = fields["channel"].astype(np.int64)
    table = np.full(int(channel.max()) + 1, _NONE, np.uint8)
    for one in np.flatnonzero(np.bincount(channel)).tolist():
        if f"CAN{one}" in buses or len(buses) < MOST_BUSES:
            table[one] = buses.setdefault(f"CAN{one}", len(buses))
    stray = (table[channel] == _NONE) & ~remote
    left_out["unreadable"] = left_out.get("unreadable", 0) + int(stray.sum())
    length[remote | stray] = _NONE
    return Piece(
        fields["time"].astype(np.float64) * tick,
        ((number & np.uint32(0x1FFF_FFFF)) | (number & EXTENDED)).astype(np.uint32),
        table[channel],
        length,
        data,
    )


def _together(parts: Sequence[tuple[NDArray[np.int64], Piece]], left_out: dict[str, int]) -> Piece:
    """Bring frames of several kinds of object back into the order of the log."""
    if not parts:
        none = np.zeros(0, np.uint8)
        empty = np.zeros((0, CLASSIC), np.uint8)
        return Piece(np.zeros(0), np.zeros(0, np.uint32), none, none, empty, left_out)
    if len(parts) == 1:
        whole = parts[0][1]
        if int(whole.length.max()) == _NONE:
            whole = whole.at(np.flatnonzero(whole.length != _NONE))
        return Piece(whole.t, whole.identifier, whole.bus, whole.length, whole.data, left_out)
    place = np.concatenate([place for place, _ in parts])
    whole = Piece(
        np.concatenate([piece.t for _, piece in parts]),
        np.concatenate([piece.identifier for _, piece in parts]),
        np.concatenate([piece.bus for _, piece in parts]),
        np.concatenate([piece.length for _, piece in parts]),
        stacked([piece.data for _, piece in parts]),
    )
    order = np.argsort(place, kind="stable")
    ordered = whole.at(order[whole.length[order] != _NONE])
    return Piece(ordered.t, ordered.identifier, ordered.bus, ordered.length, ordered.data, left_out)
