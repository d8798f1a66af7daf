"""Bits of signals."""

import pytest

from thawline.errors import RequestError
from thawline.simulator.layout import BusMessage, BusSignal, placed, stream_start


def signals(*lengths: int) -> tuple[BusSignal, ...]:
    """Signals of such lengths."""
    return tuple(BusSignal(f"S{i}", "", length) for i, length in enumerate(lengths))


def test_little_endian_signals_stand_one_behind_the_other():
    """Start bits count up from the lowest bit."""
    message = placed(BusMessage("M", 1, 1.0, 4, signals(12, 3, 16)))
    assert [signal.start for signal in message.signals] == [0, 12, 15]


def test_big_endian_start_bits_are_those_of_the_highest_bit():
    """A DBC counts a big-endian signal from its highest bit, in a sawtooth."""
    message = placed(BusMessage("M", 1, 1.0, 4, signals(12, 3, 16), is_big_endian=True))
    assert [signal.start for signal in message.signals] == [7, 11, 8]
    assert [stream_start(signal.start) for signal in message.signals] == [0, 12, 15]


def test_pages_share_their_bits():
    """Signals of different pages lie on each other, behind what all pages have."""
    shared = BusSignal("Turn", "page", 4)
    paged = [BusSignal(f"P{i}", "", 8, page=i % 2) for i in range(4)]
    message = placed(BusMessage("M", 1, 1.0, 4, (shared, *paged)))
    assert [signal.start for signal in message.signals] == [0, 4, 4, 12, 12]


def test_what_does_not_fit_is_said_to_be_so():
    """Signals that run over their message are an error with its name."""
    with pytest.raises(RequestError, match=r"M: signal 'S2' ends at bit 31 of 24"):
        placed(BusMessage("M", 1, 1.0, 3, signals(12, 3, 16)))
