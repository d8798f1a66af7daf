"""Frames with a flexible data rate in every log, with python-can and cantools beside us."""

from __future__ import annotations

import struct
from pathlib import Path

import can
import numpy as np
import pytest
from cantools.database.can import Message, Signal
from cantools.database.conversion import BaseConversion
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.signals.batches import fits, same
from tests.signals.test_bits import layout_of
from tests.sources.test_candump import left_out, rows
from tests.sources.test_mdf import frame_structure
from thawline.signals.decode import decode, join
from thawline.sources import chunks as lines_module
from thawline.sources.by_suffix import open_source
from thawline.sources.mdf_frames import _lengths

START = 1_700_000_000.0
#: Payload sizes of ISO 11898-1.
SIZES = [*range(9), 12, 16, 20, 24, 32, 48, 64]
LONG = bytes(range(64))

messages = st.builds(
    lambda i, extended, size, flexible, seed, channel, rate: can.Message(
        timestamp=START + i / 1e4,
        arbitration_id=0x18FE0000 + i if extended else i % 0x800,
        is_extended_id=extended,
        is_fd=flexible or size > 8,
        bitrate_switch=rate and (flexible or size > 8),
        data=np.random.default_rng(seed).bytes(size),
        channel=channel,
    ),
    st.integers(0, 10**6),
    st.booleans(),
    st.sampled_from(SIZES),
    st.booleans(),
    st.integers(0, 99),
    st.integers(0, 2),
    st.booleans(),
)


def trc(sent: list[can.Message], by_code: bool) -> str:
    """Write TRC 2.1, which python-can writes no long frames to; lengths in bytes or as codes."""
    kinds = {(False, False): "DT", (True, False): "FD", (True, True): "FB"}
    text = ";$FILEVERSION=2.1\n;$STARTTIME=45244.92592592593\n"
    text += f";$COLUMNS=N,O,T,B,I,d,R,{'l' if by_code else 'L'},D\n"
    for i, m in enumerate(sent, 1):
        number = f"{m.arbitration_id:08X}" if m.is_extended_id else f"{m.arbitration_id:04X}"
        size = can.util.len2dlc(len(m.data)) if by_code else len(m.data)
        text += (
            f"{i:7} {(m.timestamp - START) * 1e3:13.3f} {kinds[m.is_fd, m.bitrate_switch]} "
            f"{m.channel + 1} {number} Rx - {size} {m.data.hex(' ').upper()}\n"
        )
    return text


def write(path: Path, sent: list[can.Message]) -> Path:
    """Write a log of the kind that its name says."""
    if path.suffix in (".trc", ".trl"):
        path.write_text(trc(sent, by_code=path.suffix == ".trl"))
        return path
    writers = {".log": can.CanutilsLogWriter, ".asc": can.ASCWriter, ".blf": can.BLFWriter}
    with writers[path.suffix](path) as writer:
        for message in sent:
            writer.on_message_received(message)
    return path


@pytest.mark.parametrize("kind", ["log", "asc", "blf", "trc", "trl"])
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(sent=st.lists(messages, min_size=1, max_size=20))
def test_frames_of_every_size_are_read_back(
    tmp_path: Path, kind: str, sent: list[can.Message]
) -> None:
    """Short and long, classic and flexible, in any mixture: none lost, no byte wrong."""
    sent.sort(key=lambda message: message.timestamp)
    batches = list(open_source(write(tmp_path / f"bus.{kind}", sent)))  # type: ignore[arg-type] # frames
    found = [(row[1], row[3]) for row in rows(batches)]
    assert found == [(m.arbitration_id | m.is_extended_id << 31, bytes(m.data)) for m in sent]
    assert left_out(batches) == {}
    longest = max(len(m.data) for m in sent)
    (batch,) = batches
    assert batch.data.shape[1] == (8 if longest <= 8 else 64)
    assert not batch.data[np.arange(batch.data.shape[1]) >= batch.length[:, None]].any()


@pytest.mark.parametrize("kind", ["log", "asc"])
def test_remote_and_error_frames_among_flexible_ones_are_counted(tmp_path: Path, kind: str) -> None:
    """Lines that only look like data frames."""
    lines = {
        "log": "(1.0) can0 100##1{long}\n(1.1) can0 100#R\n(1.2) can0 100##1{odd}\n"
        "(1.3) can0 20000080##00000000000000000\n(1.4) can0 100##1{long}00 R\n",
        "asc": "date Tue Nov 14 22:13:20 2023\nbase hex  timestamps absolute\n"
        " 1.0 CANFD   1 Rx  100  Pack  1 0 f 64 {spaced}  100  200 3000 0 0 0 0 0\n"
        " 1.1 CANFD   1 Rx  100        1 0 8  0  100  200 3000 0 0 0 0 0\n"
        " 1.2 CANFD   1 Rx  100        1 0 f 64 00 11 100  200 3000\n"
        " 1.3 CANFD   1 Tx  ErrorFrame\n"
        " 1.4 CANFD   1 Rx  100        1 0 f 65 {spaced} 00 100 200\n",
    }[kind]
    path = tmp_path / f"bus.{kind}"
    path.write_text(lines.format(long=LONG.hex(), odd=LONG.hex()[:-1], spaced=LONG.hex(" ")))
    batches = list(open_source(path))  # type: ignore[arg-type] # frames
    assert [row[3] for row in rows(batches)] == [LONG]
    assert left_out(batches) == {"remote": 1, "error": 1, "unreadable": 2}


def test_an_odd_number_of_digits_is_a_cut_line_not_a_shorter_frame(tmp_path: Path) -> None:
    """Classic or flexible, in the middle of the log or at its end."""
    path = tmp_path / "bus.log"
    path.write_text("(1.0) can0 101#0DAC\n(2.0) can0 101#0DAC0\n(3.0) can0 101##00DAC0")
    batches = list(open_source(path))  # type: ignore[arg-type] # frames
    assert [row[3] for row in rows(batches)] == [b"\x0d\xac"]
    assert left_out(batches) == {"unreadable": 2}


def blf_object(payload: bytes, stated: int, extra: int = 0, behind: bytes = b"") -> bytes:
    """Make an object of type 101, which python-can reads but does not write."""
    body = struct.pack("<BBBBLLLLLLLHBBL", 1, 15, stated, 0, 0x123, 0, 0x1000, 0, 0, 0, 0, 0, 0,
                       extra, 0)  # fmt: skip
    body += payload + behind
    head = struct.pack("<LHHQ", 2, 0, 0, 1_000_000)
    size = 16 + len(head) + len(body)
    whole = struct.pack("<4sHHLL", b"LOBJ", 32, 1, size, 101) + head + body
    return whole + b"\0" * (size % 4)


@pytest.mark.parametrize("cut", [0, 24])
def test_blf_objects_of_variable_size_are_read_as_python_can_does(tmp_path: Path, cut: int) -> None:
    """Zeros are understood for bytes that are stated and not there; what follows is not read."""
    path = write(tmp_path / "bus.blf", [can.Message(timestamp=START, arbitration_id=1)])
    content = path.read_bytes()
    objects = blf_object(LONG[: 64 - cut], 64) + blf_object(LONG[:12], 12, 84, b"\xff" * 16)
    container = struct.pack("<4sHHLL", b"LOBJ", 16, 1, 32 + len(objects), 10)
    container += struct.pack("<H6xL4x", 0, len(objects)) + objects
    path.write_bytes(content[:144] + container)
    found = [row[3] for row in rows(list(open_source(path)))]  # type: ignore[arg-type] # frames
    assert found == [LONG[: 64 - cut] + bytes(cut), LONG[:12]]
    with can.BLFReader(path) as reader:
        assert [bytes(message.data) for message in reader] == found


def test_mdf_lengths_are_stated_in_bytes_or_as_codes() -> None:
    """Codes above eight mean more bytes for frames with a flexible data rate only."""
    frames = np.zeros(4, frame_structure(width=64))
    frames["CAN_DataFrame.DLC"], frames["CAN_DataFrame.EDL"] = [8, 15, 9, 15], [0, 1, 1, 0]
    frames["CAN_DataFrame.DataLength"] = [1, 2, 3, 4]
    assert _lengths(frames, 4, 64).tolist() == [1, 2, 3, 4]
    members = [f"CAN_DataFrame.{name}" for name in ("DLC", "EDL")]
    assert _lengths(frames[members], 4, 64).tolist() == [8, 64, 12, 8]
    assert _lengths(frames[["CAN_DataFrame.EDL"]], 4, 64).tolist() == [64] * 4


@pytest.mark.parametrize("kind", ["log", "blf"])
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(data=st.data())
def test_long_messages_are_decoded_as_cantools_does(
    tmp_path: Path, kind: str, data: st.DataObject
) -> None:
    """Any integer or real of a 64-byte message, from logs whose batches differ in width."""
    order = data.draw(st.sampled_from(["little_endian", "big_endian"]))
    length = data.draw(st.integers(1, 64))
    is_float = length in (16, 32, 64) and data.draw(st.booleans())
    start = data.draw(
        st.integers(0, 511).filter(lambda bit: fits(bit, length, order == "big_endian", 64))
    )
    conversion = BaseConversion.factory(1, 0, None, is_float)
    is_signed = data.draw(st.booleans()) and not is_float
    signal = Signal("S", start, length, order, is_signed, conversion=conversion)
    message = Message(0x100, "M", 64, [signal], strict=False)
    layout = layout_of(signal)
    sent = []
    for i in range(12):
        size = data.draw(st.sampled_from([8, 32, 64])) if i >= 4 else 8
        payload = data.draw(st.binary(min_size=size, max_size=size))
        sent.append(can.Message(timestamp=START + i, arbitration_id=0x100, is_extended_id=False,
                                is_fd=True, data=payload))  # fmt: skip
    path = write(tmp_path / f"bus.{kind}", sent)
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(lines_module, "LINES_PER_BATCH", 4)
        found = join(decode(frames, [layout]) for frames in open_source(path))["M.S"]  # type: ignore[union-attr] # frames
    whole = [m for m in sent if len(m.data) >= layout.bytes_needed]
    assert found.t.tolist() == [m.timestamp for m in whole]
    theirs = [message.decode(bytes(m.data).ljust(64, b"\0"))["S"] for m in whole]
    assert all(same(ours, other) for ours, other in zip(found.values.tolist(), theirs, strict=True))
    assert found.too_short == len(sent) - len(whole)
