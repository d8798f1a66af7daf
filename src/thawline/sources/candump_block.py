"""Read the usual lines of candump text straight from their bytes, whole blocks at a time.

This is the layout in which the tool writes log files: ten digits of seconds, six of
microseconds, a bus, an identifier of three or eight digits and up to sixteen digits of payload ::

    (1700000000.123456) can0 1A2#0011AABB

Lines of one length with the sign ``#`` in one place are a matrix of bytes, so each field is some
of its columns. Whatever differs in any way is left to the slower parser, which decides what it is.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.sources.digits import eight_digits, hex_bytes
from thawline.sources.frames import EXTENDED
from thawline.sources.payloads import CLASSIC

Bytes = NDArray[np.uint8]

#: Where the parts of a line begin: seconds, point, end of the time, bus [byte].
_POINT, _CLOSE, _BUS = 11, 18, 20
#: Digits of identifiers, standard and extended [1].
STANDARD, EXTENDED_DIGITS = 3, 8
#: Highest identifiers of data frames [1].
HIGHEST, HIGHEST_EXTENDED = np.uint32(0x7FF), np.uint32(0x1FFF_FFFF)
#: Lines longer than this are left to the slower parser [byte].
LONGEST = 128
#: Different layouts and buses that are looked for in a block [1].
MOST_LAYOUTS, MOST_NAMES = 48, 8
_MICRO = 1e6


@dataclass(frozen=True, slots=True)
class Block:
    """What a block of lines gave.

    Parameters
    ----------
    row : ndarray of int64, shape (n,)
        Which lines of the block the frames are, in order [1].
    t : ndarray of float64, shape (n,)
        Times [s].
    identifier : ndarray of uint32, shape (n,)
        Identifiers as in ``Frames`` [1].
    name : ndarray of uint8, shape (n,)
        Index into ``names`` [1].
    names : tuple of str
        Buses in the order in which they appear.
    length : ndarray of uint8, shape (n,)
        Lengths of payloads [byte].
    data : ndarray of uint8, shape (n, 8)
        Payloads, zero beyond their length [1].
    other_row : ndarray of int64, shape (k,)
        Which lines are left [1].
    others : bytes
        These lines, with their ends.
    """

    row: NDArray[np.int64]
    t: NDArray[np.float64]
    identifier: NDArray[np.uint32]
    name: Bytes
    names: tuple[str, ...]
    length: Bytes
    data: Bytes
    other_row: NDArray[np.int64]
    others: bytes


def parse_block(block: bytes) -> Block:
    """Parse the usual lines of a block.

    Parameters
    ----------
    block : bytes
        Whole lines; the last may lack its end.

    Returns
    -------
    Block
        Frames of the usual lines, and the other lines.
    """
    content = np.frombuffer(block, np.uint8)
    ends = np.flatnonzero(content == ord("\n"))
    if len(content) and content[-1] != ord("\n"):
        ends = np.append(ends, len(content))
    starts = np.concatenate(([0], ends[:-1] + 1)) if len(ends) else ends
    stops = _without_ends(content, starts, ends)
    count = len(ends)
    fields = _Fields(
        np.zeros(count, bool), np.empty(count), np.empty(count, np.uint32),
        np.zeros(count, np.uint8), np.zeros(count, np.uint8), np.zeros((count, CLASSIC), np.uint8),
    )  # fmt: skip
    names: dict[bytes, int] = {}
    size = stops - starts
    sign = _signs(content, starts, stops) - starts
    for rows in _layouts(size, sign):
        first = 0 if isinstance(rows, slice) else int(rows[0])
        width, at = int(size[first]), int(sign[first])
        windows = np.ndarray((len(content) - width + 1,), f"V{width}", block, strides=(1,))
        lines = windows[starts[rows]].view(np.uint8).reshape(-1, width)
        _read(lines, at, rows, fields, names)
    return _block(block, starts, ends, fields, names)


@dataclass(frozen=True, slots=True)
class _Fields:
    """The fields of all lines, filled layout by layout."""

    is_read: NDArray[np.bool_]
    t: NDArray[np.float64]
    identifier: NDArray[np.uint32]
    name: Bytes
    length: Bytes
    data: Bytes


def _without_ends(
    content: Bytes, starts: NDArray[np.int64], ends: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Tell where lines stop, carriage returns and a direction taken off."""
    stops = ends
    if not len(ends):
        return stops
    last = np.maximum(stops - 1, starts)
    if content[last[0] : last[0] + 1].tobytes() == b"\r":
        stops = stops - (content[last] == ord("\r")) * (stops > starts)
    if stops[0] - starts[0] > 2 and content[stops[0] - 2] == ord(" "):
        signs = content[np.maximum(stops - 1, starts)]
        before = content[np.maximum(stops - 2, starts)]
        has_one = ((signs == ord("R")) | (signs == ord("T"))) & (before == ord(" "))
        stops = stops - 2 * (has_one & (stops - starts > 2))
    return stops


def _signs(
    content: Bytes, starts: NDArray[np.int64], stops: NDArray[np.int64]
) -> NDArray[np.int64]:
    """Find the sign ``#`` of each line; -1 where there is none, or more than one."""
    found = np.flatnonzero(content == ord("#"))
    if len(found) == len(starts) and bool(((found >= starts) & (found < stops)).all()):
        return found
    line = np.searchsorted(starts, found, side="right") - 1
    at = np.full(len(starts), -1, np.int64)
    at[line] = found
    at[np.bincount(line, minlength=len(starts)) != 1] = -1
    return at


def _layouts(
    size: NDArray[np.int64], sign: NDArray[np.int64]
) -> Sequence[slice | NDArray[np.int64]]:
    """Gather lines of one length with the sign in one place."""
    usable = (size <= LONGEST) & (sign > _BUS) & (sign < size)
    if not usable.any():
        return []
    if usable.all() and bool((size == size[0]).all() and (sign == sign[0]).all()):
        return [slice(None)]
    rows = np.flatnonzero(usable)
    code = (size[rows] * (LONGEST + 1) + sign[rows]).astype(np.uint16)
    rows = rows[np.argsort(code, kind="stable")]
    counts = np.bincount(code)
    ends = np.cumsum(counts[counts > 0])
    return np.split(rows, ends[:-1])[:MOST_LAYOUTS]


def _read(
    lines: Bytes,
    at: int,
    rows: slice | NDArray[np.int64],
    fields: _Fields,
    names: dict[bytes, int],
) -> None:
    """Read lines of one layout into their rows."""
    digits = lines.shape[1] - at - 1
    if digits % 2 or digits > 2 * CLASSIC:
        return
    for wide, space in ((STANDARD, at - STANDARD - 1), (EXTENDED_DIGITS, at - EXTENDED_DIGITS - 1)):
        if space <= _BUS:
            continue
        good = np.asarray(lines[:, space] == ord(" "))
        for place, what in ((0, "("), (_POINT, "."), (_CLOSE, ")"), (_BUS - 1, " ")):
            good &= lines[:, place] == ord(what)
        if not good.any():
            continue
        number, is_number = _number(lines[:, at - wide : at])
        data, is_data = hex_bytes(lines[:, at + 1 :])
        t, is_time = _times(lines)
        name, is_name = _names(lines[:, _BUS:space], good, names)
        good &= is_number & is_data & is_time & is_name
        here = rows if good.all() else (np.arange(len(fields.t))[rows])[good]
        some = slice(None) if good.all() else good
        fields.is_read[here] = True
        fields.t[here] = t[some]
        fields.identifier[here] = number[some]
        fields.name[here] = name[some]
        fields.length[here] = digits // 2
        fields.data[here, : digits // 2] = data[some]
        if good.all():
            return


def _number(digits: Bytes) -> tuple[NDArray[np.uint32], NDArray[np.bool_]]:
    """Read identifiers; tell where they are those of data frames."""
    count, width = digits.shape
    padded = np.full((count, width + width % 2), ord("0"), np.uint8)
    padded[:, width % 2 :] = digits
    found, good = hex_bytes(padded)
    number = found.view(">u2" if width == STANDARD else ">u4")[:, 0].astype(np.uint32)
    if width == STANDARD:
        return number, good & (number <= HIGHEST)
    number &= ~EXTENDED  # whether that bit is written or not
    return number | EXTENDED, good & (number <= HIGHEST_EXTENDED)


def _times(lines: Bytes) -> tuple[NDArray[np.float64], NDArray[np.bool_]]:
    """Read ten digits of seconds, a point and six of microseconds."""
    high, is_high = eight_digits(lines[:, 1:9])
    rest = np.ascontiguousarray(lines[:, 9:18])
    low = np.empty((len(lines), 8), np.uint8)
    low[:, :2], low[:, 2:] = rest[:, :2], rest[:, 3:]
    low_number, is_low = eight_digits(low)
    # whole microseconds are exact, so the quotient is the nearest number, as any parser's
    micro = high * np.uint64(10**8) + low_number
    return micro.astype(np.float64) / _MICRO, is_high & is_low


def _names(
    texts: Bytes, wanted: NDArray[np.bool_], names: dict[bytes, int]
) -> tuple[Bytes, NDArray[np.bool_]]:
    """Give each bus its number; tell where there is a name that is one."""
    number = np.zeros(len(texts), np.uint8)
    named = ~wanted
    width = texts.shape[1]
    # compared as words of eight bytes, not byte by byte
    words = np.zeros((len(texts), -(-width // CLASSIC) * CLASSIC), np.uint8)
    words[:, :width] = texts
    columns = words.view(np.uint64).T
    for _ in range(MOST_NAMES):
        if named.all():
            break
        first = int(np.argmin(named))
        same = ~named
        for column in columns:
            same &= column == column[first]
        named |= same
        name = texts[first].tobytes()
        if name.isascii() and name.isalnum() and (name in names or len(names) < CLASSIC * CLASSIC):
            number[same] = names.setdefault(name, len(names))
        else:
            wanted = wanted & ~same
    return number, wanted & named


def _block(
    block: bytes,
    starts: NDArray[np.int64],
    ends: NDArray[np.int64],
    fields: _Fields,
    names: dict[bytes, int],
) -> Block:
    """Put frames and other lines together."""
    told = tuple(name.decode("ascii") for name in names)
    if fields.is_read.all():
        none = np.zeros(0, np.int64)
        row = np.arange(len(ends))
        return Block(row, fields.t, fields.identifier, fields.name, told, fields.length,
                     fields.data, none, b"")  # fmt: skip
    read, left = np.flatnonzero(fields.is_read), np.flatnonzero(~fields.is_read)
    others = b"".join(
        block[begin : end + 1]
        for begin, end in zip(starts[left].tolist(), ends[left].tolist(), strict=True)
    )
    return Block(
        read, fields.t[read], fields.identifier[read], fields.name[read], told,
        fields.length[read], fields.data[read], left, others,
    )  # fmt: skip
