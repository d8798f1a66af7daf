"""Write frames as lines of candump text, the open layout that the journal is kept in.

The layouts: ``(1700000000.123456) can0 1A2#0011AABB``, extended identifiers with eight digits,
``#R`` for remote frames, ``##`` and a digit of flags for frames with a flexible data rate, and
bit 29 of the identifier for error frames, as Linux sets it.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from thawline.sources.frames import EXTENDED, Frames

if TYPE_CHECKING:
    from can import Message

#: Set in the identifier of an error frame, as Linux does [1].
ERROR = 0x2000_0000
#: Longest payload of a classic frame [byte].
CLASSIC = 8
#: Flag of a faster data phase in a frame with a flexible data rate [1].
BIT_RATE_SWITCH = 1


def line_of(message: Message, bus: bytes, t: float) -> bytes:
    """Write one frame that python-can received.

    Parameters
    ----------
    message : can.Message
        The frame.
    bus : bytes
        Name of its bus.
    t : float
        When it came, since 1970-01-01 UTC [s].

    Returns
    -------
    bytes
        A line with its end.
    """
    if message.is_error_frame:
        identifier = b"%08X" % (message.arbitration_id & 0x1FFF_FFFF | ERROR)
    elif message.is_extended_id:
        identifier = b"%08X" % message.arbitration_id
    else:
        identifier = b"%03X" % message.arbitration_id
    if message.is_remote_frame:
        return b"(%.6f) %b %b#R\n" % (t, bus, identifier)
    payload = bytes(message.data or b"").hex().upper().encode()
    if message.is_fd:
        flags = BIT_RATE_SWITCH if message.bitrate_switch else 0
        return b"(%.6f) %b %b##%X%b\n" % (t, bus, identifier, flags, payload)
    return b"(%.6f) %b %b#%b\n" % (t, bus, identifier, payload)


def lines_of(frames: Frames, t: NDArray[np.float64]) -> list[bytes]:
    """Write a batch of frames.

    Parameters
    ----------
    frames : Frames
        The frames.
    t : ndarray of float64, shape (n,)
        Their times, since 1970-01-01 UTC [s].

    Returns
    -------
    list of bytes
        A line with its end for each.
    """
    digits = frames.data.tobytes().hex().upper()
    wide = 2 * frames.data.shape[1]
    names = [name.replace(" ", "_") or "can0" for name in frames.buses]
    lines = []
    rows = zip(
        t.tolist(),
        frames.identifier.tolist(),
        frames.bus.tolist(),
        frames.length.tolist(),
        strict=True,
    )
    for row, (at, identifier, bus, length) in enumerate(rows):
        extended = identifier & int(EXTENDED)
        who = f"{identifier ^ extended:08X}" if extended else f"{identifier:03X}"
        payload = digits[row * wide : row * wide + 2 * length]
        sign = "#" if length <= CLASSIC else "##0"
        lines.append(f"({at:.6f}) {names[bus]} {who}{sign}{payload}\n".encode())
    return lines
