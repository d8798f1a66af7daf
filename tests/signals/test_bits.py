"""Bits, signs and floating-point numbers against cantools."""

from __future__ import annotations

from cantools.database.can import Message, Signal
from cantools.database.conversion import BaseConversion
from hypothesis import given
from hypothesis import strategies as st

from tests.signals.batches import fits, frames_of, same
from thawline.signals.decode import decode
from thawline.signals.layout import SignalLayout


def layout_of(signal: Signal, identifier: int = 0x100) -> SignalLayout:
    """Copy one of the oracle's signals, without choices and multiplexing."""
    return SignalLayout(
        signal.name,
        "M",
        identifier,
        signal.start,
        signal.length,
        signal.byte_order == "big_endian",
        signal.is_signed,
        signal.is_float,
        signal.scale,
        signal.offset,
    )


def test_every_integer_layout_of_eight_bytes_is_decoded_as_cantools_does() -> None:
    """All start bits, lengths, byte orders and signs, three payloads each: no value differs."""
    payloads = [bytes(range(0x81, 0x89)), b"\xff" * 8, bytes.fromhex("8000000000000001")]
    frames = frames_of([(0.0, 0x100, payload) for payload in payloads])
    tried, wrong = 0, []
    for start in range(64):
        for length in range(1, 65):
            for order in ("little_endian", "big_endian"):
                if not fits(start, length, order == "big_endian"):
                    continue
                for is_signed in (False, True):
                    signal = Signal("S", start, length, order, is_signed)
                    message = Message(0x100, "M", 8, [signal], strict=False)
                    found = decode(frames, [layout_of(signal)])["M.S"].values
                    expected = [float(message.decode(payload)["S"]) for payload in payloads]
                    tried += 1
                    if found.tolist() != expected:
                        wrong.append((start, length, order, is_signed))
    assert tried == 2 * 2 * 2080
    assert wrong == []


@given(
    st.sampled_from([16, 32, 64]),
    st.integers(0, 63),
    st.sampled_from(["little_endian", "big_endian"]),
    st.binary(min_size=16, max_size=16),
)
def test_floating_point_signals_are_decoded_as_cantools_does(
    length: int, start: int, order: str, payload: bytes
) -> None:
    """Half, single and double precision, at any bit, infinities and NaN included."""
    conversion = BaseConversion.factory(is_float=True)
    signal = Signal("S", start, length, order, conversion=conversion)
    message = Message(0x100, "M", 16, [signal], strict=False)
    expected = message.decode(payload)["S"]
    found = decode(frames_of([(0.0, 0x100, payload)]), [layout_of(signal)])["M.S"].values
    assert same(float(found[0]), expected)


def test_a_signed_byte_across_two_bytes_keeps_its_sign() -> None:
    """Eight signed bits that begin at bit 4 read -1 from all ones, whatever stands beside."""
    frames = frames_of([(0.0, 0x100, bytes.fromhex("F00F000000000000"))])
    little = SignalLayout("L", "M", 0x100, 4, 8, is_signed=True)
    big = SignalLayout("B", "M", 0x100, 3, 8, is_big_endian=True, is_signed=True)
    decoded = decode(frames, [little, big])
    assert decoded["M.L"].values.tolist() == [-1.0]
    assert decoded["M.B"].values.tolist() == [0.0]
