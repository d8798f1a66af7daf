"""Write frames as candump text, whole batches at a time."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.encode import EXTENDED, Sent

#: Lines written at once [1].
BATCH = 250_000
#: Digits of the seconds and of the microseconds [1].
SECOND_DIGITS, MICRO_DIGITS = 10, 6
#: Hexadecimal digits of identifiers [1].
LONG, SHORT = 8, 3
_HEX = np.frombuffer(b"0123456789ABCDEF", dtype=np.uint8)
_ZERO = np.uint8(ord("0"))


def _digits(numbers: NDArray[np.int64], count: int) -> NDArray[np.uint8]:
    out = np.empty((len(numbers), count), dtype=np.uint8)
    rest = numbers
    for i in range(count - 1, -1, -1):
        rest, digit = np.divmod(rest, 10)
        out[:, i] = digit + _ZERO
    return out


def _text(sent: Sent, starts_at: float, bus: str) -> bytes:
    """Lay lines of the longest form side by side, and take out what each does not need."""
    n = len(sent.t)
    micros = np.round((starts_at + sent.t) * 1e6).astype(np.int64)
    seconds, rest = np.divmod(micros, 1_000_000)
    head, between = b"(", b") " + bus.encode() + b" "
    long = (sent.identifier & np.uint32(EXTENDED)) != 0
    number = (sent.identifier & np.uint32(EXTENDED - 1)).astype(np.int64)
    width = 1 + SECOND_DIGITS + 1 + MICRO_DIGITS + len(between) + LONG + 1 + 16 + 1
    lines = np.empty((n, width), dtype=np.uint8)
    keep = np.ones((n, width), dtype=bool)
    lines[:, 0] = head[0]
    at = 1
    lines[:, at : at + SECOND_DIGITS] = _digits(seconds, SECOND_DIGITS)
    at += SECOND_DIGITS
    lines[:, at] = ord(".")
    lines[:, at + 1 : at + 1 + MICRO_DIGITS] = _digits(rest, MICRO_DIGITS)
    at += 1 + MICRO_DIGITS
    lines[:, at : at + len(between)] = np.frombuffer(between, dtype=np.uint8)
    at += len(between)
    for i in range(LONG):
        lines[:, at + i] = _HEX[(number >> (4 * (LONG - 1 - i))) & 15]
    keep[:, at : at + LONG - SHORT] = long[:, None]
    at += LONG
    lines[:, at] = ord("#")
    lines[:, at + 1 : at + 17 : 2] = _HEX[sent.data >> 4]
    lines[:, at + 2 : at + 18 : 2] = _HEX[sent.data & 15]
    for byte in range(8):
        there = sent.size > byte
        keep[:, at + 1 + 2 * byte] = there
        keep[:, at + 2 + 2 * byte] = there
    lines[:, -1] = ord("\n")
    return lines[keep].tobytes()


def write_candump(sent: Sent, path: Path, starts_at: float, bus: str) -> None:
    """Write frames as candump text.

    Parameters
    ----------
    sent : Sent
        The frames.
    path : Path
        The log.
    starts_at : float
        Time zero of the frames, since 1970-01-01 UTC [s].
    bus : str
        The name of the bus.
    """
    with path.open("wb") as file:
        for first in range(0, len(sent.t), BATCH):
            rows = slice(first, first + BATCH)
            part = Sent(sent.t[rows], sent.identifier[rows], sent.size[rows], sent.data[rows])
            file.write(_text(part, starts_at, bus))
