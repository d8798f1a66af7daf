"""ASC, TRC and BLF logs, which python-can writes and reads beside us."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import can
import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.sources.test_candump import left_out, rows
from thawline.errors import SourceError
from thawline.sources import blf as blf_module
from thawline.sources.asc import read_asc
from thawline.sources.blf import read_blf
from thawline.sources.by_suffix import kind_of, open_source
from thawline.sources.frames import Frames
from thawline.sources.trc import read_trc

WRITERS: dict[str, Callable[[Path], can.io.generic.MessageWriter]] = {
    "asc": can.ASCWriter,
    "blf": can.BLFWriter,
    "trc": can.TRCWriter,
}
START = 1_700_000_000.0

messages = st.builds(
    can.Message,
    timestamp=st.integers(0, 10**6).map(lambda tenth_ms: START + tenth_ms / 1e4),
    is_extended_id=st.booleans(),
    arbitration_id=st.integers(0, 0x7FF),
    data=st.binary(max_size=8),
    channel=st.integers(0, 3),
    is_rx=st.booleans(),
)


def write(path: Path, kind: str, sent: list[can.Message]) -> Path:
    with WRITERS[kind](path) as writer:
        for message in sent:
            writer.on_message_received(message)
    return path


@pytest.mark.parametrize("kind", ["asc", "blf", "trc"])
@settings(
    max_examples=25, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(sent=st.lists(messages, min_size=1, max_size=20), data=st.data())
def test_logs_that_python_can_writes_are_read_back(
    tmp_path: Path, kind: str, sent: list[can.Message], data: st.DataObject
) -> None:
    """Round trip: times to a millisecond, identifiers, payloads and buses exactly."""
    sent.sort(key=lambda message: message.timestamp)
    for message in sent:
        if message.is_extended_id:
            message.arbitration_id |= data.draw(st.sampled_from([0x10000, 0x18FE0000, 0x1FFFF800]))
    path = write(tmp_path / f"bus.{kind}", kind, sent)
    assert kind_of(path) == "frames"
    found = rows(list(open_source(path)))  # type: ignore[arg-type] # frames
    expected = [
        (m.arbitration_id | m.is_extended_id << 31, f"CAN{m.channel + 1}", bytes(m.data))
        for m in sent
    ]
    assert [row[1:] for row in found] == expected
    times = np.array([row[0] for row in found]) - found[0][0]
    truth = np.array([message.timestamp for message in sent]) - sent[0].timestamp
    np.testing.assert_allclose(times, truth, atol=1.1e-3)


def test_blf_times_count_from_1970_and_containers_may_break_anywhere(
    tmp_path: Path, monkeypatch
) -> None:
    """Objects reach over containers and batches; none is lost and none read twice."""
    sent = [
        can.Message(timestamp=START + i / 1000, arbitration_id=i % 0x800, data=bytes([i % 256] * 8),
                    channel=i % 2)
        for i in range(5000)
    ]  # fmt: skip
    monkeypatch.setattr(can.BLFWriter, "max_container_size", 1000)
    path = write(tmp_path / "bus.blf", "blf", sent)
    (whole,) = read_blf(path)
    assert whole.is_epoch and whole.buses == ("CAN1", "CAN2")
    np.testing.assert_allclose(whole.t, START + np.arange(5000) / 1000, atol=1e-6)
    monkeypatch.setattr(blf_module, "BATCH_BYTES", 1500)
    batches = list(read_blf(path))
    assert len(batches) > 50 and rows(batches) == rows([whole])


def test_a_payload_that_looks_like_an_object_is_a_payload(tmp_path: Path) -> None:
    """The signature of objects may stand in any payload."""
    sent = [
        can.Message(timestamp=START + i, arbitration_id=i, data=b"LOBJ \x00\x01\x00")
        for i in range(20)
    ]
    found = rows(list(read_blf(write(tmp_path / "bus.blf", "blf", sent))))
    assert [row[3] for row in found] == [b"LOBJ \x00\x01\x00"] * 20


@pytest.mark.parametrize("kind", ["asc", "blf", "trc"])
def test_remote_and_error_frames_are_counted(tmp_path: Path, kind: str) -> None:
    """They are not fatal, and they are not data frames."""
    sent = [
        can.Message(timestamp=START, arbitration_id=1, data=b"\x01", channel=0),
        can.Message(timestamp=START, arbitration_id=2, is_remote_frame=True, dlc=4, channel=0),
        can.Message(timestamp=START, is_error_frame=True, channel=0),
    ]
    if kind == "trc":  # its writer knows data frames only
        del sent[1:]
    batches = list(open_source(write(tmp_path / f"bus.{kind}", kind, sent)))  # type: ignore[arg-type] # frames
    assert [row[1] for row in rows(batches)] == [0x8000_0001]
    assert left_out(batches) == ({} if kind == "trc" else {"remote": 1, "error": 1})


ASC = """date Tue Jan 30 07:15:00.250 pm 2024
base hex  timestamps {kind}
internal events logged
Begin Triggerblock Tue Jan 30 07:15:00.250 pm 2024
   0.000000 Start of measurement
   1.500000 1  100             Rx   d 3 01 02 03  Length = 240 BitCount = 124 ID = 256
   1.000000 2  18FEF100x       Tx   d 8 00 11 22 33 44 55 66 77
   1.000000 1  200             Rx   d 8 00 11
End TriggerBlock
"""


@pytest.mark.parametrize(("kind", "times"), [("absolute", [1.5, 1.0]), ("relative", [1.5, 2.5])])
def test_asc_times_are_absolute_or_stepwise(tmp_path: Path, kind: str, times: list[float]) -> None:
    """The header says which; the date is in the afternoon."""
    path = tmp_path / "bus.asc"
    path.write_text(ASC.format(kind=kind))
    batches = list(read_asc(path))
    start = 1_706_642_100.25  # 2024-01-30T19:15:00.25Z
    assert [(t - start, n, bus) for t, n, bus, _ in rows(batches)] == [
        (times[0], 0x100, "CAN1"),
        (times[1], 0x98FEF100, "CAN2"),
    ]
    assert left_out(batches) == {"unreadable": 1} and batches[0].is_epoch


def test_decimal_asc_is_an_error_with_its_cure(tmp_path: Path) -> None:
    """Numbers are never read to another base than they were written to."""
    path = tmp_path / "bus.asc"
    path.write_text(ASC.format(kind="absolute").replace("base hex", "base dec"))
    with pytest.raises(SourceError, match="not hexadecimal"):
        read_asc(path)


TRC = {
    "1.1": "     1)      1000.5  Rx         0100  2  01 02\n"
    "     2)      1500.0  Warng  FFFFFFFF  4  00 00 00 08  BUSHEAVY\n"
    "     3)      2000.0  Tx     18FEF100  1  FF\n     4)  2500.0  Rx  0704  1  RTR\n",
    "1.3": "     1)      1000.500 1  Rx        0100 -  2    01 02\n"
    "     2)      1500.000 1  Warng FFFFFFFF -  4    00 00 00 08 BUSHEAVY\n"
    "     3)      2000.000 1  Tx    18FEF100 -  1    FF\n     4)  2500.0 1  Rx  0704 -  1  RTR\n",
    "2.1": "      1      1000.500 DT 1      0100 Rx -  2    01 02\n"
    "      2      1500.000 ST 1         - Rx -  4    00 00 00 08\n"
    "      3      2000.000 DT 1  18FEF100 Tx -  1    FF\n      4  2500.000 RR 1  0704 Rx -  1\n",
}


@pytest.mark.parametrize("version", sorted(TRC))
def test_trc_of_every_kind_of_layout_is_read(tmp_path: Path, version: str) -> None:
    """Offsets in milliseconds from a start in days; warnings and remote frames are counted."""
    columns = ";$COLUMNS=N,O,T,B,I,d,R,L,D\n" if version.startswith("2") else ""
    head = f";$FILEVERSION={version}\n;$STARTTIME=45321.25\n{columns};---+--\n"
    path = tmp_path / "bus.trc"
    path.write_text(head + TRC[version])
    batches = list(read_trc(path))
    start = 1_706_594_400.0  # 45321 days after 1899-12-30 is 2024-01-30, and a quarter is 06:00
    assert rows(batches) == [
        (start + 1.0005, 0x100, "CAN1", b"\x01\x02"),
        (start + 2.0, 0x98FEF100, "CAN1", b"\xff"),
    ]
    assert left_out(batches) == {"error": 1, "remote": 1}


def test_an_unknown_version_of_trc_is_an_error(tmp_path: Path) -> None:
    """The message names those that are read."""
    path = tmp_path / "bus.trc"
    path.write_text(";$FILEVERSION=7.0\n" + TRC["1.1"])
    with pytest.raises(SourceError, match=r"version '7.0'.*1\.3"):
        read_trc(path)


@pytest.mark.parametrize("share", [0.3, 0.6, 0.95])
def test_a_blf_that_breaks_off_is_read_as_far_as_it_goes(tmp_path: Path, share: float) -> None:
    """The break is counted."""
    rng = np.random.default_rng(3)
    sent = [
        can.Message(timestamp=START + i, arbitration_id=1, data=rng.bytes(8)) for i in range(20_000)
    ]
    path = write(tmp_path / "bus.blf", "blf", sent)
    content = path.read_bytes()
    path.write_bytes(content[: int(share * len(content))])
    batches = list(read_blf(path))
    found = rows(batches)
    assert [row[3] for row in found] == [bytes(m.data) for m in sent[: len(found)]]
    assert 0.2 * share < len(found) / 20_000 < share + 0.05
    assert left_out(batches) == {"unreadable": 1}


def whole(source: Iterator[Frames]) -> None:
    """Draw all frames and check that the columns fit together."""
    for frames in source:
        assert len(frames.t) == len(frames.identifier) == len(frames.bus) == len(frames.length)
        assert frames.data.shape in ((len(frames.t), 8), (len(frames.t), 64))
        assert (frames.length <= frames.data.shape[1]).all()
        assert np.isfinite(frames.t).all()
        assert not len(frames.bus) or int(frames.bus.max()) < len(frames.buses)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(
    st.sampled_from(["asc", "blf", "trc"]),
    st.lists(st.tuples(st.floats(0, 0.999), st.integers(0, 255)), max_size=20),
    st.floats(0, 1),
)
def test_damaged_logs_give_frames_or_a_source_error(
    tmp_path: Path, kind: str, damage: list[tuple[float, int]], keep: float
) -> None:
    """Fuzz: bytes are changed, and the end is cut off."""
    sound = tmp_path / f"sound.{kind}"
    if not sound.exists():
        sent = [can.Message(timestamp=START + i, arbitration_id=i, data=bytes([i] * (i % 9)),
                            channel=0) for i in range(30)]  # fmt: skip
        write(sound, kind, sent)
    content = bytearray(sound.read_bytes())
    for place, value in damage:
        content[int(place * len(content))] = value
    path = tmp_path / f"damaged.{kind}"
    path.write_bytes(content[: int(keep * len(content)) + 1])
    try:
        source = open_source(path)
        if not hasattr(source, "columns"):
            whole(source)
    except SourceError as error:
        assert error.cure


@pytest.mark.parametrize("columns", ["N,O,T,B,I,d,L,D", "O,T,I,d,l,D"])
def test_trc_columns_are_those_that_its_header_names(tmp_path: Path, columns: str) -> None:
    """Lines may have no number; a time that is no date is none."""
    words = {"N": "1", "O": "2.500", "T": "DT", "B": "1", "I": "0123", "d": "Rx", "l": "2",
             "L": "2", "D": "AB CD"}  # fmt: skip
    line = "  ".join(words[letter] for letter in columns.split(","))
    path = tmp_path / "bus.trc"
    path.write_text(f";$FILEVERSION=2.0\n;$STARTTIME=nan\n;$COLUMNS={columns}\n{line}\n")
    (frames,) = read_trc(path)
    assert rows([frames]) == [(0.0025, 0x123, "CAN1", b"\xab\xcd")]


@pytest.mark.parametrize("columns", ["N,O,T,I,d,D", "N,O,T,I,I,l,D", "N,T,I,l,O,D", ""])
def test_trc_columns_that_say_too_little_are_an_error(tmp_path: Path, columns: str) -> None:
    """No length, one of them twice, the time in an unusual place, none at all."""
    path = tmp_path / "bus.trc"
    path.write_text(f";$FILEVERSION=2.0\n;$COLUMNS={columns}\n 1 2.5 DT 0123 Rx 1 AB\n")
    with pytest.raises(SourceError, match="columns") as told:
        list(read_trc(path))
    assert told.value.cure
