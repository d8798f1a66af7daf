"""Read digits of many texts at once: decimal ones in machine words, hexadecimal ones as bytes."""

from __future__ import annotations

import binascii

import numpy as np
from numpy.typing import NDArray

_HEX = np.isin(np.arange(256), np.frombuffer(b"0123456789abcdefABCDEF", np.uint8))
_ZEROS = np.uint64(0x3030_3030_3030_3030)
#: Added to a byte, it reaches the highest bit if that byte is more than nine.
_MORE_THAN_NINE = np.uint64(0x7676_7676_7676_7676)
_HIGHEST_BITS = np.uint64(0x8080_8080_8080_8080)
#: Every second byte, and the factors that bring pairs and fours of digits together.
_PAIRS = np.uint64(0x0000_00FF_0000_00FF)
_OF_FIRST, _OF_SECOND = np.uint64(100 + (1000000 << 32)), np.uint64(1 + (10000 << 32))
_TEN, _BYTE, _TWO_BYTES, _HALF = (np.uint64(number) for number in (10, 8, 16, 32))


def eight_digits(texts: NDArray[np.uint8]) -> tuple[NDArray[np.uint64], NDArray[np.bool_]]:
    """Read numbers of eight decimal digits.

    Parameters
    ----------
    texts : ndarray of uint8, shape (n, 8)
        The digits as ASCII, the highest first [1].

    Returns
    -------
    number : ndarray of uint64, shape (n,)
        The numbers; without meaning where there are other signs [1].
    good : ndarray of bool, shape (n,)
        Where all eight are digits [1].

    Notes
    -----
    Neighbours are added with their weights, three times over: digits to pairs, pairs to fours,
    fours to the number, all bytes of a word at once.
    """
    word = np.ascontiguousarray(texts).view("<u8")[:, 0] - _ZEROS
    spare = word + _MORE_THAN_NINE
    spare |= word
    spare &= _HIGHEST_BITS
    good = spare == 0
    np.right_shift(word, _BYTE, out=spare)
    word *= _TEN
    word += spare
    np.right_shift(word, _TWO_BYTES, out=spare)
    for part, weight in ((word, _OF_FIRST), (spare, _OF_SECOND)):
        part &= _PAIRS
        part *= weight
    word += spare
    word >>= _HALF
    return word, good


def hex_bytes(digits: NDArray[np.uint8]) -> tuple[NDArray[np.uint8], NDArray[np.bool_]]:
    """Read pairs of hexadecimal digits as bytes.

    Parameters
    ----------
    digits : ndarray of uint8, shape (n, 2 k)
        The digits as ASCII [1].

    Returns
    -------
    found : ndarray of uint8, shape (n, k)
        The bytes; without meaning where there are other signs [1].
    good : ndarray of bool, shape (n,)
        Where all are digits [1].
    """
    count, width = digits.shape
    good: NDArray[np.bool_] = np.ones(count, bool)
    if not width:
        return np.zeros((count, 0), np.uint8), good
    digits = np.ascontiguousarray(digits)
    try:
        found = binascii.unhexlify(digits.data)
    except binascii.Error:
        good = np.asarray(_HEX[digits].all(axis=1))
        digits = np.where(good[:, None], digits, np.uint8(ord("0")))
        found = binascii.unhexlify(digits.data)
    return np.frombuffer(found, np.uint8).reshape(count, width // 2), good
