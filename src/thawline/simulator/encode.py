"""Turn sensed values into the payloads of frames."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from thawline.simulator.layout import BusMessage, BusSignal, stream_start
from thawline.simulator.morning import Morning
from thawline.simulator.sense import sensed

Array = NDArray[np.float64]
#: A big-endian word of a frame has this many bits [1].
WORD_BITS = 64
#: Set in identifiers of 29 bits, as SocketCAN does.
EXTENDED = 0x8000_0000


@dataclass(frozen=True, slots=True)
class Sent:
    """Frames as they were sent.

    Parameters
    ----------
    t : ndarray of float64, shape (n,)
        Since the morning's beginning [s].
    identifier : ndarray of uint32, shape (n,)
        Identifiers; bit 31 is set for extended ones [1].
    size : ndarray of uint8, shape (n,)
        Bytes [byte].
    data : ndarray of uint8, shape (n, 8)
        Payloads; bytes past the size are zero [1].
    """

    t: Array
    identifier: NDArray[np.uint32]
    size: NDArray[np.uint8]
    data: NDArray[np.uint8]


def code_range(signal: BusSignal) -> tuple[int, int]:
    """Find the codes that a signal may have for values.

    Parameters
    ----------
    signal : BusSignal
        The signal.

    Returns
    -------
    tuple of int
        Lowest and highest [1].
    """
    low, high = 0, 2**signal.length - 1
    if signal.is_signed:
        low, high = -(2 ** (signal.length - 1)), 2 ** (signal.length - 1) - 1
    if signal.missing_code is not None:
        high -= signal.missing_code == high
        low += signal.missing_code == low
    return low, high


def codes_of(signal: BusSignal, values: Array, missing: NDArray[np.bool_]) -> NDArray[np.uint64]:
    """Turn values into codes.

    Parameters
    ----------
    signal : BusSignal
        The signal.
    values : ndarray of float64, shape (n,)
        Values in the bus's unit [unit].
    missing : ndarray of bool, shape (n,)
        Where there is no value yet.

    Returns
    -------
    ndarray of uint64, shape (n,)
        Codes, negative ones as their two's complement.
    """
    if signal.is_float:
        bits = values.astype(np.float32).view(np.uint32)
        return bits.astype(np.uint64)
    if signal.codes is not None:
        codes = np.where(values > 0.5, signal.codes[1], signal.codes[0]).astype(np.int64)
    else:
        low, high = code_range(signal)
        scaled = np.round((values - signal.offset) / signal.scale)
        codes = np.clip(scaled, low, high).astype(np.int64)
    if signal.missing_code is not None:
        codes = np.where(missing, signal.missing_code, codes)
    mask = np.uint64(2**signal.length - 1)
    return codes.view(np.uint64) & mask


def frame_times(message: BusMessage, duration_s: float, rng: np.random.Generator) -> Array:
    """Draw the times of a message's frames.

    Parameters
    ----------
    message : BusMessage
        The message.
    duration_s : float
        Length of the morning [s].
    rng : Generator
        Chance.

    Returns
    -------
    ndarray of float64, shape (n,)
        Times in order [s].
    """
    phase = float(rng.uniform(0.0, min(message.period_s, 1.0)))
    at = np.arange(phase, duration_s - 1e-3, message.period_s)
    scatter = np.clip(rng.normal(0.0, message.jitter, len(at)), -0.4, 0.4) * message.period_s
    return np.asarray(np.clip(at + scatter, 0.0, duration_s))


def encode(morning: Morning, message: BusMessage, rng: np.random.Generator) -> Sent:
    """Make all frames of one message.

    Parameters
    ----------
    morning : Morning
        The truth.
    message : BusMessage
        The message, its start bits given.
    rng : Generator
        Chance.

    Returns
    -------
    Sent
        Its frames.
    """
    at = frame_times(message, morning.scenario.duration_s, rng)
    word = np.zeros(len(at), dtype=np.uint64)
    pages = sorted({s.page for s in message.signals if s.page is not None})
    now = np.arange(len(at)) % max(len(pages), 1)
    page = np.array(pages)[now] if pages else now
    for signal in message.signals:
        assert signal.start is not None  # the layout has been placed
        if signal.path == "page":
            codes = page.astype(np.uint64)
        else:
            values = sensed(morning, signal, at, rng)
            codes = codes_of(signal, values, at < signal.sensor.ready_s)
        shift = signal.start
        if message.is_big_endian:
            shift = WORD_BITS - stream_start(signal.start) - signal.length
        placed = codes << np.uint64(shift)
        word |= placed if signal.page is None else np.where(page == signal.page, placed, 0)
    if message.is_big_endian:
        word = word.byteswap()
    data = word.astype("<u8").view(np.uint8).reshape(-1, 8)
    number = message.identifier | (EXTENDED if message.is_extended else 0)
    return Sent(
        at,
        np.full(len(at), number, dtype=np.uint32),
        np.full(len(at), message.size, dtype=np.uint8),
        data,
    )
