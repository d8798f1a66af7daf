"""Payloads as rows of bytes: eight wide for classic frames, 64 where a longer one is among them.

References
----------
.. [1] ISO 11898-1: the data length codes of frames with a flexible data rate.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
import polars as pl
from numpy.typing import NDArray

#: Longest payload of a classic frame, and of one with a flexible data rate [byte].
CLASSIC, WIDEST = 8, 64
#: Payload bytes by data length code [1]_ [byte].
BYTES_BY_CODE = (0, 1, 2, 3, 4, 5, 6, 7, 8, 12, 16, 20, 24, 32, 48, 64)


def width_for(longest: int) -> int:
    """Choose the width of a batch.

    Parameters
    ----------
    longest : int
        Longest payload in it [byte].

    Returns
    -------
    int
        8 or 64 [byte].
    """
    return CLASSIC if longest <= CLASSIC else WIDEST


def widened(data: NDArray[np.uint8], width: int) -> NDArray[np.uint8]:
    """Fill payloads up with zeros.

    Parameters
    ----------
    data : ndarray of uint8, shape (n, k)
        Payloads [1].
    width : int
        Width to be reached; at least ``k`` [byte].

    Returns
    -------
    ndarray of uint8, shape (n, width)
        The payloads [1].
    """
    if data.shape[1] == width:
        return data
    wide = np.zeros((len(data), width), np.uint8)
    wide[:, : data.shape[1]] = data
    return wide


def stacked(parts: Sequence[NDArray[np.uint8]]) -> NDArray[np.uint8]:
    """Put payloads of any width below one another.

    Parameters
    ----------
    parts : sequence of ndarray of uint8, shape (n_i, 8) or (n_i, 64)
        Payloads; at least one part [1].

    Returns
    -------
    ndarray of uint8, shape (n, 8) or (n, 64)
        All of them, as wide as the widest [1].
    """
    width = max(part.shape[1] for part in parts)
    return np.concatenate([widened(part, width) for part in parts])


def cleared(data: NDArray[np.uint8], length: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Set what lies behind the payload to zero, in place.

    Parameters
    ----------
    data : ndarray of uint8, shape (n, width)
        Payloads and what stood behind them [1].
    length : ndarray of uint8, shape (n,)
        Lengths of the payloads [byte].

    Returns
    -------
    ndarray of uint8, shape (n, width)
        The same array [1].
    """
    if len(length) and int(length.min()) < data.shape[1]:
        data[np.arange(data.shape[1]) >= length[:, None]] = 0
    return data


def from_words(number: NDArray[np.uint64], length: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Write payloads, read as one number each, as eight bytes with zeros behind.

    Parameters
    ----------
    number : ndarray of uint64, shape (n,)
        Payloads, the first byte highest [1].
    length : ndarray of uint8, shape (n,)
        Their lengths, up to eight [byte].

    Returns
    -------
    ndarray of uint8, shape (n, 8)
        Payloads [1].
    """
    if len(length) and int(length.min()) == CLASSIC:
        return number.astype(">u8").view(np.uint8).reshape(-1, CLASSIC)
    missing = (8 * (CLASSIC - length)).astype(np.uint64)
    # an empty payload would be shifted by a whole word, which is undefined; it is zero anyway
    shifted = number << np.minimum(missing, 63)
    return shifted.astype(">u8").view(np.uint8).reshape(-1, CLASSIC)


def from_hex(texts: pl.Series, length: NDArray[np.uint8]) -> NDArray[np.uint8]:
    """Read payloads that are written as hexadecimal digits.

    Parameters
    ----------
    texts : Series of str
        Two digits for each byte and nothing else.
    length : ndarray of uint8, shape (n,)
        Number of bytes in each [byte].

    Returns
    -------
    ndarray of uint8, shape (n, 8) or (n, 64)
        Payloads with zeros behind [1].
    """
    if not len(texts) or int(length.max()) <= CLASSIC:
        words = texts.replace("", "0").str.to_integer(base=16, dtype=pl.UInt64)
        return from_words(words.to_numpy(), length)
    padded = texts.str.pad_end(2 * WIDEST, "0").str.join("")[0]
    return np.frombuffer(bytearray.fromhex(padded), np.uint8).reshape(-1, WIDEST)
