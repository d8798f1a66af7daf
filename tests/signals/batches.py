"""What the tests of decoding share: batches made by hand, and equality bit for bit."""

from __future__ import annotations

import math
import struct

import numpy as np

from thawline.sources.frames import Frames


def frames_of(
    rows: list[tuple[float, int, bytes]],
    *,
    buses: tuple[str, ...] = ("can0",),
    bus: tuple[int, ...] = (),
) -> Frames:
    """Make a batch from (time, identifier, payload) rows."""
    width = 64 if any(len(payload) > 8 for _, _, payload in rows) else 8
    data = np.zeros((len(rows), width), dtype=np.uint8)
    for i, (_, _, payload) in enumerate(rows):
        data[i, : len(payload)] = list(payload)
    return Frames(
        t=np.array([row[0] for row in rows], dtype=float),
        identifier=np.array([row[1] for row in rows], dtype=np.uint32),
        bus=np.array(bus or (0,) * len(rows), dtype=np.uint8),
        buses=buses,
        length=np.array([len(row[2]) for row in rows], dtype=np.uint8),
        data=data,
    )


def same(ours: float, theirs: object) -> bool:
    """Equal bit for bit as floats; any NaN equals any NaN."""
    value = float(theirs)
    return (math.isnan(ours) and math.isnan(value)) or struct.pack("<d", ours) == struct.pack(
        "<d", value
    )


def fits(start: int, length: int, big_endian: bool, width: int = 8) -> bool:
    """Tell whether a signal lies inside the payload."""
    first = 8 * (start // 8) + 7 - start % 8 if big_endian else start
    return first + length <= 8 * width
