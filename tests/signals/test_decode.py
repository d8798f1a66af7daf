"""Decoding against cantools, which is the oracle throughout."""

from __future__ import annotations

from dataclasses import replace

import cantools.database
import pytest
from cantools.database.can import Database as OracleDatabase
from cantools.database.can import Message, Signal
from cantools.database.conversion import BaseConversion
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.signals.batches import fits, frames_of, same
from thawline.signals.database import Database, read_database
from thawline.signals.decode import Decoded, decode, join, match_count
from thawline.signals.layout import Condition, MessageLayout, SignalLayout

scales = st.one_of(
    st.sampled_from([1, 2, -1, 3, 10, 0.1, 0.01, 0.5, -0.25, 1e-3, 1.0, 2.0, 1e6, 7]),
    st.floats(-1e4, 1e4).filter(lambda x: abs(x) > 1e-6),
)
offsets = st.one_of(
    st.sampled_from([0, -40, 1, 0.5, -273.15, 1e5, 100.0, 2**40]), st.floats(-1e6, 1e6)
)


@st.composite
def signals(draw: st.DrawFn, name: str = "S", width: int = 8, from_byte: int = 0) -> Signal:
    """Draw a signal that lies anywhere behind the first bytes of a payload."""
    order = draw(st.sampled_from(["little_endian", "big_endian"]))
    is_float = draw(st.booleans()) and draw(st.booleans())
    lengths = st.sampled_from([32, 64]) if is_float else st.integers(1, 64)
    start = draw(st.integers(8 * from_byte, 8 * width - 1))
    length = draw(lengths)
    if not fits(start, length, order == "big_endian", width):
        start, length, is_float = 8 * from_byte + 7, draw(st.integers(1, 8)), False
    choices = None
    if not is_float and draw(st.booleans()):
        codes = draw(st.lists(st.integers(0, 2 ** min(length, 8) - 1), max_size=4, unique=True))
        choices = {code: f"label {code}" for code in codes} or None
    return Signal(
        name,
        start,
        length,
        order,
        draw(st.booleans()) and not is_float,
        conversion=BaseConversion.factory(draw(scales), draw(offsets), choices, is_float),
    )


@st.composite
def messages(draw: st.DrawFn, identifier: int) -> Message:
    """Draw a message: plain, multiplexed, or with a selector inside a multiplexed part."""
    width = draw(st.sampled_from([8, 8, 8, 12, 64]))
    extended = draw(st.booleans())
    frame_id = identifier + (0x18FE0000 if extended else 0)
    kind = draw(st.sampled_from(["plain", "simple", "nested"]))
    if kind == "plain":
        parts = [draw(signals(width=width))]
    else:
        order = draw(st.sampled_from(["little_endian", "big_endian"]))
        start = 0 if order == "little_endian" else 3
        top = Signal("Top", start, 4, order, is_multiplexer=True)
        parts = [top]
        ids = sorted(draw(st.sets(st.integers(0, 15), min_size=1, max_size=5)))
        parent = "Top"
        if kind == "nested":
            start = 4 if order == "little_endian" else 7
            parts.append(
                Signal(
                    "Under",
                    start,
                    4,
                    order,
                    is_multiplexer=True,
                    multiplexer_ids=ids,
                    multiplexer_signal="Top",
                )
            )
            ids, parent = sorted(draw(st.sets(st.integers(0, 15), min_size=1))), "Under"
        child = draw(signals(width=width, from_byte=1))
        child.multiplexer_ids, child.multiplexer_signal = ids, parent
        parts.append(child)
    return Message(
        frame_id, f"M{identifier}", width, parts, is_extended_frame=extended, strict=False
    )


def oracle_values(message: Message, payload: bytes) -> dict[str, object]:
    """Decode one payload with cantools; signals that are absent are left out."""
    try:
        return dict(
            message.decode(payload, decode_choices=False, scaling=True, allow_truncated=True)
        )
    except cantools.database.DecodeError:  # a selector code that no signal has
        plain = [signal for signal in message.signals if signal.multiplexer_ids is None]
        if len(plain) == len(message.signals):
            raise
        only = Message(0x1, "Only", message.length, plain, strict=False)
        shown = dict(only.decode(payload, decode_choices=False, scaling=True, allow_truncated=True))
        under = next((s for s in message.signals if s.name == "Under"), None)
        if under is not None and shown.get("Top") in (under.multiplexer_ids or []):
            alone = Message(
                0x1,
                "Alone",
                message.length,
                [Signal("Under", under.start, 4, under.byte_order)],
                strict=False,
            )
            shown |= dict(alone.decode(payload, allow_truncated=True))
        return shown


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_random_databases_are_decoded_as_cantools_does(
    tmp_path_factory: pytest.TempPathFactory, data: st.DataObject
) -> None:
    """Whatever the layout, payload and length: same frames, same floats, same codes."""
    made = [data.draw(messages(0x100 + i)) for i in range(3)]
    path = tmp_path_factory.mktemp("database") / "random.dbc"
    path.write_text(OracleDatabase(made).as_dbc_string(), "utf-8")
    oracle = cantools.database.load_file(path, strict=False)
    ours = read_database([path])
    rows: list[tuple[float, int, bytes]] = []
    for i in range(12):
        message = made[i % 3]
        size = data.draw(st.one_of(st.just(message.length), st.integers(0, message.length)))
        payload = data.draw(st.binary(min_size=size, max_size=size))
        flag = 0x8000_0000 if message.is_extended_frame else 0
        rows.append((float(i), message.frame_id | flag, payload))
    decoded = decode(frames_of(rows), list(ours.signals.values()))
    for message in oracle.messages:
        flag = 0x8000_0000 if message.is_extended_frame else 0
        mine = [row for row in rows if row[1] == message.frame_id | flag]
        theirs = [(t, oracle_values(message, payload)) for t, _, payload in mine]
        for signal in message.signals:
            expected = [(t, shown[signal.name]) for t, shown in theirs if signal.name in shown]
            found = decoded[f"{message.name}.{signal.name}"]
            assert found.t.tolist() == [t for t, _ in expected]
            pairs = zip(found.values.tolist(), expected, strict=True)
            assert all(same(value, other) for value, (_, other) in pairs)
            if signal.choices:
                assert found.labels == {int(k): str(v) for k, v in signal.choices.items()}
                assert found.codes is not None and len(found.codes) == len(found.t)


def test_labelled_codes_come_with_their_values() -> None:
    """A labelled signal gives the raw code, its name, and the scaled value."""
    frames = frames_of([(0.0, 0x100, b"\x02"), (1.0, 0x100, b"\x03")])
    state = SignalLayout("S", "M", 0x100, 0, 8, scale=0.5, choices={2: "Heating", 3: "Idle"})
    found = decode(frames, [state])["M.S"]
    assert found.codes is not None
    assert [found.labels[code] for code in found.codes.tolist()] == ["Heating", "Idle"]
    assert found.values.tolist() == [1.0, 1.5]


def test_frames_that_end_before_the_signal_are_left_out_and_counted() -> None:
    """A payload of one byte says nothing about the second byte."""
    frames = frames_of([(0.0, 0x100, b"\x01\x02"), (1.0, 0x100, b"\x01"), (2.0, 0x100, b"")])
    found = decode(frames, [SignalLayout("S", "M", 0x100, 8, 8)])["M.S"]
    assert (found.t.tolist(), found.values.tolist(), found.too_short) == ([0.0], [2.0], 2)


def test_a_multiplexed_signal_is_counted_short_only_where_it_is_present() -> None:
    """Frames that show another part of the message are not frames that are too short."""
    selector = SignalLayout("K", "M", 0x100, 0, 8)
    signal = SignalLayout("S", "M", 0x100, 8, 8, condition=Condition(selector, ((1, 2), (9, 9))))
    rows = [(0.0, 0x100, b"\x01\x07"), (1.0, 0x100, b"\x05\x07"), (2.0, 0x100, b"\x09")]
    found = decode(frames_of(rows), [signal])["M.S"]
    assert (found.t.tolist(), found.values.tolist(), found.too_short) == ([0.0], [7.0], 1)


def test_a_signal_of_one_bus_is_not_read_from_another() -> None:
    """Two buses may use one identifier for different things."""
    rows = [(0.0, 0x100, b"\x01"), (1.0, 0x100, b"\x02")]
    frames = frames_of(rows, buses=("can0", "can1"), bus=(0, 1))
    signal = SignalLayout("S", "M", 0x100, 0, 8)
    assert decode(frames, [signal])["M.S"].values.tolist() == [1.0, 2.0]
    for bus, expected in (("can0", [1.0]), ("can1", [2.0]), ("can7", [])):
        assert decode(frames, [replace(signal, bus=bus)])["M.S"].values.tolist() == expected


def test_an_extended_identifier_is_not_the_standard_one_of_the_same_number() -> None:
    """0x100 with 29 bits is another message than 0x100 with 11."""
    frames = frames_of([(0.0, 0x8000_0100, b"\x01"), (1.0, 0x100, b"\x02")])
    found = decode(frames, [SignalLayout("S", "M", 0x8000_0100, 0, 8)])["M.S"]
    assert found.values.tolist() == [1.0]


def test_a_signal_that_never_came_is_empty() -> None:
    """No frame, no value, and codes only where the signal has labels."""
    labelled = SignalLayout("L", "M", 0x1, 0, 8, choices={0: "Off"})
    decoded = decode(frames_of([]), [SignalLayout("S", "M", 0x1, 0, 8), labelled])
    assert len(decoded["M.S"].t) == 0 and decoded["M.S"].codes is None
    assert decoded["M.L"].codes is not None and len(decoded["M.L"].codes) == 0


def test_batches_join_to_what_one_batch_gives() -> None:
    """Decoding in pieces changes nothing."""
    rows = [(float(i), 0x100 + i % 3, bytes([i, 255 - i])) for i in range(40)]
    wanted = [
        SignalLayout("S", "M", 0x101, 3, 9, is_signed=True, scale=0.1, choices={0: "Zero"}),
        SignalLayout("T", "N", 0x102, 7, 16, is_big_endian=True),
        SignalLayout("U", "N", 0x102, 20, 8),
    ]
    whole = decode(frames_of(rows), wanted)
    parts = join(decode(frames_of(rows[i : i + 7]), wanted) for i in range(0, 40, 7))
    assert list(parts) == list(whole)
    for key, one in whole.items():
        other = parts[key]
        assert isinstance(other, Decoded)
        assert (one.t.tolist(), one.values.tolist()) == (other.t.tolist(), other.values.tolist())
        assert (one.too_short, one.labels) == (other.too_short, other.labels)
        assert (one.codes is None) == (other.codes is None)
        assert (
            one.codes is None or other.codes is None or one.codes.tolist() == other.codes.tolist()
        )


def test_matching_frames_are_counted() -> None:
    """The count tells a database that fits from one that does not."""
    frames = frames_of([(0.0, 0x100, b""), (1.0, 0x200, b""), (2.0, 0x100, b"")])
    assert match_count(frames, Database({"M": MessageLayout("M", 0x100, 8)})) == 2
    assert match_count(frames, Database({"M": MessageLayout("M", 0x8000_0100, 8)})) == 0
    assert match_count(frames, Database()) == 0
    assert match_count(frames_of([]), Database({"M": MessageLayout("M", 0x100, 8)})) == 0
