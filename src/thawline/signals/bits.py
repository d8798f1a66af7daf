"""Take the bits of a signal out of many payloads at once.

Databases number bits by byte, the lowest first: bit ``8 i + j`` is bit ``j`` of byte ``i``.
A little-endian signal grows upward from its start bit through the bytes; a big-endian one
begins with its highest bit and runs downward, from byte to byte, in the order of
transmission [1]_. So a signal is a shift and a mask away from an 8-byte word read in its
own byte order; one of up to 64 bits that begins inside a byte may need a ninth byte.

References
----------
.. [1] ISO 11898-1: bytes are transmitted in order, the highest bit of each first. (The
   numbering of bits in databases is common practice, no source.)
"""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from thawline.signals.layout import SignalLayout

#: Bits and bytes of a machine word.
WORD_BITS, WORD_BYTES = 64, 8
#: Whole numbers up to this many bits are exact as floating-point numbers [bit].
EXACT_BITS = 53


class Payloads:
    """The payloads of all frames of one message, read as words when asked for.

    Parameters
    ----------
    data : ndarray of uint8, shape (n, width)
        Payloads of all frames of the batch; the width is a multiple of 8.
    rows : ndarray of int, shape (k,)
        Rows that hold the message [1].
    """

    def __init__(self, data: NDArray[np.uint8], rows: NDArray[np.intp]) -> None:
        self._data, self._rows = data, rows
        self._words: dict[int, NDArray[np.uint64]] = {}
        self.width = data.shape[1]

    def __len__(self) -> int:
        """Count the payloads."""
        return len(self._rows)

    def word(self, first: int) -> NDArray[np.uint64]:
        """Read eight bytes as a little-endian word; bytes past the payload are zero.

        Parameters
        ----------
        first : int
            First byte [1].

        Returns
        -------
        ndarray of uint64, shape (k,)
            The words [1].
        """
        if first not in self._words:
            if first % WORD_BYTES == 0:
                words = self._data.view("<u8")[self._rows, first // WORD_BYTES]
            else:
                window = np.zeros((len(self._rows), WORD_BYTES), dtype=np.uint8)
                there = self._data[self._rows, first : first + WORD_BYTES]
                window[:, : there.shape[1]] = there
                words = window.view("<u8")[:, 0]
            self._words[first] = words
        return self._words[first]

    def byte(self, index: int) -> NDArray[np.uint64]:
        """Read one byte as a number.

        Parameters
        ----------
        index : int
            Which byte; past the payload it is zero [1].

        Returns
        -------
        ndarray of uint64, shape (k,)
            The bytes [1].
        """
        return self.word(index) & np.uint64(0xFF)


def unsigned_bits(payloads: Payloads, signal: SignalLayout) -> NDArray[np.uint64]:
    """Take the bits of a signal as an unsigned number.

    Parameters
    ----------
    payloads : Payloads
        Payloads of the signal's message, wide enough for it.
    signal : SignalLayout
        The signal.

    Returns
    -------
    ndarray of uint64, shape (k,)
        The bits, the signal's lowest as bit 0 [1].
    """
    begin, end = signal.first_bit, signal.first_bit + signal.length
    aligned = begin // WORD_BITS == (end - 1) // WORD_BITS
    first = WORD_BYTES * (begin // WORD_BITS) if aligned else begin // 8
    word, begin, end = payloads.word(first), begin - 8 * first, end - 8 * first
    beyond = end - WORD_BITS  # bits in a ninth byte
    if signal.is_big_endian:
        word = word.byteswap()
        if beyond > 0:
            ninth = payloads.byte(first + WORD_BYTES) >> np.uint64(8 - beyond)
            word = (word << np.uint64(beyond)) | ninth
        else:
            word = word >> np.uint64(-beyond)
    else:
        word = word >> np.uint64(begin)
        if beyond > 0:
            word = word | (payloads.byte(first + WORD_BYTES) << np.uint64(WORD_BITS - begin))
    if signal.length < WORD_BITS:
        word = word & np.uint64((1 << signal.length) - 1)
    return word


def codes(bits: NDArray[np.uint64], signal: SignalLayout) -> NDArray[np.integer[Any]]:
    """Read bits as a whole number.

    Parameters
    ----------
    bits : ndarray of uint64, shape (k,)
        The signal's bits [1].
    signal : SignalLayout
        A signal that is no floating-point number.

    Returns
    -------
    ndarray of int64, shape (k,)
        Raw numbers [1]; uint64 for unsigned signals of 64 bits.
    """
    if signal.is_signed:
        spare = np.int64(WORD_BITS - signal.length)
        return (bits << spare.astype(np.uint64)).view(np.int64) >> spare
    return bits if signal.length == WORD_BITS else bits.view(np.int64)


def reals(bits: NDArray[np.uint64], signal: SignalLayout) -> NDArray[np.float64]:
    """Read bits as a floating-point number.

    Parameters
    ----------
    bits : ndarray of uint64, shape (k,)
        The signal's bits [1].
    signal : SignalLayout
        A floating-point signal of 16, 32 or 64 bits.

    Returns
    -------
    ndarray of float64, shape (k,)
        Raw numbers [1].
    """
    if signal.length == WORD_BITS:
        return bits.view(np.float64)
    with np.errstate(invalid="ignore"):  # a bus may carry any kind of NaN
        if signal.length == WORD_BITS // 2:
            return bits.astype(np.uint32).view(np.float32).astype(np.float64)
        return bits.astype(np.uint16).view(np.float16).astype(np.float64)


def physical_values(raw: NDArray[np.number[Any]], signal: SignalLayout) -> NDArray[np.float64]:
    """Scale raw numbers: value = raw times scale plus offset.

    Parameters
    ----------
    raw : ndarray, shape (k,)
        Raw numbers [1].
    signal : SignalLayout
        The signal.

    Returns
    -------
    ndarray of float64, shape (k,)
        Physical values, rounded once where scale and offset are whole numbers [unit].
    """
    scale, offset = signal.scale, signal.offset
    if scale == 1 and offset == 0:
        return raw.astype(np.float64)
    if not signal.is_float and isinstance(scale, int):
        offset_bits = offset.bit_length() if isinstance(offset, int) else 0
        if max(signal.length + scale.bit_length(), offset_bits) > EXACT_BITS:
            exact = [float(number * scale + offset) for number in raw.tolist()]
            return np.array(exact, dtype=np.float64)
    with np.errstate(over="ignore", invalid="ignore"):  # as may any infinity
        return raw.astype(np.float64) * float(scale) + float(offset)
