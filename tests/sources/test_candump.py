"""Candump text, line by line; python-can writes and reads beside us as an outside check."""

from __future__ import annotations

import gzip
from pathlib import Path

import can
import numpy as np
import pytest
import zstd
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from thawline.errors import SourceError
from thawline.sources import chunks as lines_module
from thawline.sources.candump import read_candump
from thawline.sources.frames import Frames


def read(path: Path, text: str | bytes) -> list[Frames]:
    """Write a log and read it."""
    path.write_bytes(text if isinstance(text, bytes) else text.encode())
    return list(read_candump(path))


def rows(batches: list[Frames]) -> list[tuple[float, int, str, bytes]]:
    """Give frames as (time, identifier, bus, payload)."""
    return [
        (float(f.t[i]), int(f.identifier[i]), f.buses[f.bus[i]], f.data[i, : f.length[i]].tobytes())
        for f in batches
        for i in range(len(f))
    ]


def left_out(batches: list[Frames]) -> dict[str, int]:
    """Sum what was left out."""
    total: dict[str, int] = {}
    for batch in batches:
        for reason, count in batch.left_out.items():
            total[reason] = total.get(reason, 0) + count
    return total


@pytest.fixture
def log(tmp_path: Path) -> Path:
    return tmp_path / "morning.log"


def test_classic_frames_are_read_with_time_bus_identifier_and_payload(log: Path) -> None:
    """Standard and extended identifiers, two buses, any length from none to eight bytes."""
    batches = read(
        log,
        "(1700000000.123456) can0 1A2#0011AABB\n"
        "(1700000000.223456) can1 18FEF100#0011223344556677\n"
        "(1700000000.323456) can0 000#\n"
        "(1700000000.423456) can0 00000001#ff\n",
    )
    assert rows(batches) == [
        (1700000000.123456, 0x1A2, "can0", bytes.fromhex("0011AABB")),
        (1700000000.223456, 0x98FEF100, "can1", bytes.fromhex("0011223344556677")),
        (1700000000.323456, 0x0, "can0", b""),
        (1700000000.423456, 0x80000001, "can0", b"\xff"),
    ]
    assert batches[0].is_epoch and left_out(batches) == {}
    assert not batches[0].data[0, 4:].any()


def test_lines_that_are_no_data_frames_are_counted_by_reason(log: Path) -> None:
    """Remote and error frames and junk are not fatal; blank lines are passed over."""
    batches = read(
        log,
        "\r\n# a comment\r\n   \r\n"
        "(1.0) can0 1A2#01 R\r\n"
        "(1.1) can0 1A2##1AAB\r\n"
        "(1.2) can0 1A2#R\r\n(1.2) can0 1A2#R8\r\n"
        "(1.3) can0 20000080#0000000000000000\r\n"
        "(1.4) can0 40000100#00\r\n"
        "(1.5) can0 1A2#02 T\r\n"
        "(1.6) can0 FFF#00\r\n(1.6) can0 1A2#0\r\n(1.6) can0 1A2#001122334455667788\r\n"
        "(nan) can0 1A2#00\r\n(1.7) can0 1G2#00\r\n"
        "  (1.8)  can0  1A2#03  R\r\n"
        "(1.9) can0 1A",
    )
    assert rows(batches) == [
        (1.0, 0x1A2, "can0", b"\x01"),
        (1.5, 0x1A2, "can0", b"\x02"),
        (1.8, 0x1A2, "can0", b"\x03"),
    ]
    assert not batches[0].is_epoch
    assert left_out(batches) == {"remote": 3, "error": 1, "unreadable": 8}


def test_binary_rubbish_between_frames_is_counted_and_the_rest_is_read(log: Path) -> None:
    """A logger that lost power leaves zeros and noise in the middle of a log."""
    batches = read(
        log,
        b"(1.0) can0 1A2#01\n" + b"\x00" * 50 + b"\xff\xfe\x01 12#34\n" + b"(2.0) can0 1A2#02\n",
    )
    assert [row[0] for row in rows(batches)] == [1.0, 2.0]
    assert left_out(batches) == {"unreadable": 1}


def test_the_layout_of_the_screen_is_read_too(log: Path) -> None:
    """The tool's screen output, with direction, text column, a long frame and a remote one."""
    batches = read(
        log,
        " (001.234567)  can0  1A2   [4]  00 11 AA BB\n"
        " (001.334567)  can1  RX - -  18FEF100   [2]  01 02   '..'\n"
        " (001.434567)  can0  1A2   [0]\n"
        " (001.534567)  can0  1A2  [12]  00 11 22 33 44 55 66 77 88 99 AA BB\n"
        " (001.634567)  can0  1A2   [8]  remote request\n"
        " (001.734567)  can0  20000004   [8]  00 04 00 00 00 00 00 00   ERRORFRAME\n"
        " (001.834567)  can0  1A2   [4]  00 11 AA\n",
    )
    assert rows(batches) == [
        (1.234567, 0x1A2, "can0", bytes.fromhex("0011AABB")),
        (1.334567, 0x98FEF100, "can1", b"\x01\x02"),
        (1.434567, 0x1A2, "can0", b""),
        (1.534567, 0x1A2, "can0", bytes.fromhex("00112233445566778899AABB")),
    ]
    assert left_out(batches) == {"remote": 1, "error": 1, "unreadable": 1}


def test_dates_on_the_screen_are_read_as_utc(log: Path) -> None:
    """A date and time of day count from 1970."""
    batches = read(log, " (2023-11-14 22:13:20.250000)  can0  1A2   [1]  00\n")
    assert rows(batches)[0][0] == 1700000000.25 and batches[0].is_epoch


def test_backward_time_keeps_the_order_of_the_log(log: Path) -> None:
    """A clock step is not the reader's to mend."""
    batches = read(log, "(5.0) can0 1A2#01\n(4.0) can0 1A2#02\n(6.0) can0 1A2#03\n")
    assert [row[0] for row in rows(batches)] == [5.0, 4.0, 6.0]


def test_odd_lines_keep_their_place_among_plain_ones(log: Path) -> None:
    """The slower path changes no order."""
    text = "".join(
        f"({i}.5) can0 1A2#{i:02X}\n" if i % 3 else f" ({i}.5)  can0  1A2#{i:02X}  \n"
        for i in range(60)
    )
    assert [row[0] for row in rows(read(log, text))] == [i + 0.5 for i in range(60)]


@pytest.mark.parametrize("pack", [gzip.compress, lambda raw: zstd.compress(raw, 3)])
def test_archives_are_unpacked_on_the_way(tmp_path: Path, pack) -> None:
    """gzip and zstd hold the same frames as the plain log."""
    text = "".join(f"({i}.25) can0 1A2#{i % 256:02X}\n" for i in range(3000)).encode()
    plain = rows(read(tmp_path / "a.log", text))
    assert rows(read(tmp_path / "a.log.x", pack(text))) == plain


@pytest.mark.parametrize("pack", [gzip.compress, lambda raw: zstd.compress(raw, 3)])
def test_a_broken_off_archive_is_an_error_or_counted(tmp_path: Path, pack) -> None:
    """What can be read is read and the break is counted; or one clear error."""
    rng = np.random.default_rng(1)
    text = "".join(
        f"({i}.25) can0 1A2#{x.tobytes().hex()}\n"
        for i, x in enumerate(rng.integers(0, 255, (40_000, 8), np.uint8))
    ).encode()
    packed = pack(text)
    try:
        batches = read(tmp_path / "a.log.x", packed[: len(packed) // 2])
    except SourceError as error:
        assert error.file and error.cure
    else:
        assert left_out(batches)["unreadable"] >= 1
        assert 0 < len(rows(batches)) < 40_000


def test_batches_are_bounded_and_join_to_the_whole(log: Path, monkeypatch) -> None:
    """Memory stays flat; buses keep their numbers from batch to batch."""
    text = "".join(f"({i}.0) can{i // 400} 1A2#{i % 256:02X}\n" for i in range(1000))
    whole = rows(read(log, text))
    monkeypatch.setattr(lines_module, "LINES_PER_BATCH", 100)
    batches = read(log, text)
    assert len(batches) > 5 and max(len(batch) for batch in batches) <= 100
    assert rows(batches) == whole
    assert batches[-1].buses == ("can0", "can1", "can2") and batches[0].buses == ("can0",)


def test_progress_ends_at_the_size_of_the_file(log: Path, monkeypatch) -> None:
    """Bytes done grow to bytes in all."""
    monkeypatch.setattr(lines_module, "BLOCK_BYTES", 1000)
    log.write_text("".join(f"({i}.0) can0 1A2#00\n" for i in range(1000)))
    told: list[tuple[int, int]] = []
    list(read_candump(log, progress=lambda done, total: told.append((done, total))))
    assert told[-1] == (log.stat().st_size, log.stat().st_size)
    assert [done for done, _ in told] == sorted(done for done, _ in told) and len(told) > 5


def test_a_log_without_a_data_frame_is_an_error_that_says_what_was_there(log: Path) -> None:
    """The message counts what was left out and gives a cure."""
    with pytest.raises(SourceError, match=r"no data frame.*1 remote, 1 unreadable") as caught:
        read(log, "(1.0) can0 1A2#R\nnothing\n")
    assert caught.value.file == log and caught.value.cure


def test_more_buses_than_a_byte_can_number_are_left_out(log: Path) -> None:
    """A damaged log may seem to have hundreds of buses."""
    batches = read(log, "".join(f"(1.0) can{i} 1A2#00\n" for i in range(300)))
    assert len(rows(batches)) == 255 and left_out(batches) == {"unreadable": 45}


messages = st.builds(
    can.Message,
    timestamp=st.integers(0, 2 * 10**15).map(lambda micro: micro / 1e6),
    is_extended_id=st.booleans(),
    arbitration_id=st.integers(0, 0x7FF),
    data=st.binary(max_size=8),
    channel=st.sampled_from(["can0", "can1", "vcan12"]),
)


@settings(
    max_examples=40, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(messages, min_size=1, max_size=30), st.data())
def test_logs_that_python_can_writes_are_read_as_python_can_reads_them(
    tmp_path: Path, sent: list[can.Message], data: st.DataObject
) -> None:
    """Round trip of every field, including extended identifiers and remote frames."""
    for message in sent:
        if message.is_extended_id:
            message.arbitration_id |= data.draw(st.sampled_from([0, 0x18FE0000, 0x1FFFF800]))
    path = tmp_path / "python-can.log"
    with can.CanutilsLogWriter(path) as writer:
        for message in sent:
            writer.on_message_received(message)
    with can.CanutilsLogReader(path) as reader:
        expected = [
            (m.timestamp, m.arbitration_id | m.is_extended_id << 31, m.channel, bytes(m.data))
            for m in reader
        ]
    assert rows(list(read_candump(path))) == expected


line = st.one_of(
    st.text(max_size=40),
    st.from_regex(r"\([0-9]{1,10}\.[0-9]{6}\) can[0-9] [0-9A-F]{3}#([0-9A-F]{2}){0,8}( [RT])?"),
    st.from_regex(r" ?\([0-9.]{1,12}\) can0 [0-9A-F]{1,9}#{1,3}[0-9A-FR]{0,20}.?"),
)


@settings(
    max_examples=60, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture]
)
@given(st.lists(line, max_size=20).map("\n".join).map(str.encode) | st.binary(max_size=300))
def test_whatever_stands_in_the_file_nothing_but_a_source_error_comes_out(
    tmp_path: Path, content: bytes
) -> None:
    """Fuzz: frames that come out are finite, within bounds, and lines are never lost twice."""
    path = tmp_path / "fuzz.log"
    try:
        batches = read(path, content)
    except SourceError:
        return
    for frames in batches:
        assert np.isfinite(frames.t).all()
        assert (frames.length <= 8).all()
        assert len(frames.data) == len(frames.t) == len(frames.identifier) == len(frames.bus)
        standard = frames.identifier < 0x8000_0000
        assert (frames.identifier[standard] <= 0x7FF).all()
        assert (frames.identifier[~standard] <= 0x9FFF_FFFF).all()
    counted = sum(len(f) for f in batches) + sum(left_out(batches).values())
    assert counted <= content.count(b"\n") + 1
