"""Serial adapters: opened listening only, read in bulk, refused where they cannot.

The protocol is that of Lawicel's CANUSB manual (from memory); python-can's own slcan reader is the
reference for what a piece of it means.
"""

import re
import time
from queue import SimpleQueue

import can
import numpy as np
import pytest
from can.interfaces.slcan import slcanBus

from tests.live.playing import adapter, heard, numbers, sent, wait_for
from thawline.errors import RequestError
from thawline.live.bus_spec import parse_bus
from thawline.live.opening import open_listener
from thawline.live.slcan_port import COMMANDS

PIECES = [
    b"t1A28001122334455667f",
    b"t0000",
    b"T18FEF1002FF00",
    b"r1230",
    b"R18FEF1008",
    b"x18FEF100100",
    b"d1239" + b"AB" * 12,
    b"D18FEF100F" + b"CD" * 64,
    b"b1239" + b"01" * 12,
    b"B18FEF1008" + b"02" * 8,
]


def receive(listener, seconds):
    """Collect what comes in some time."""
    text, unreadable, until = b"", 0, time.monotonic() + seconds
    while time.monotonic() < until:
        got = listener.receive(time.time)
        text += got.text
        unreadable += got.unreadable
        assert got.frames == got.text.count(b"\n")
    return text.decode().splitlines(), unreadable


@pytest.fixture
def port(tmp_path):
    """An adapter that plays nothing, and its port."""
    with adapter(tmp_path / "a", 0.0, "silent"):
        yield tmp_path / "a" / "tty"


def fed(listener, data):
    """Give a listener bytes as if they had come, and take what it makes of them."""

    class Port:
        in_waiting = len(data) - 1

        def __init__(self):
            self._left = data

        def read(self, n):
            taken, self._left = self._left[:n], self._left[n:]
            return taken

        def close(self):
            pass

    real = listener._port.serialPortOrig
    listener._port.serialPortOrig = Port()
    try:
        return listener.receive(time.time)
    finally:
        listener._port.serialPortOrig = real


def test_every_kind_of_piece_means_what_python_can_says(port, tmp_path):
    """Classic, extended, remote and flexible frames; read back from the journal's line."""
    listener = open_listener(parse_bus(f"slcan:{port}"))
    got = fed(listener, b"".join(piece + b"\r" for piece in PIECES))
    listener.close()
    assert (got.frames, got.unreadable) == (len(PIECES), 0)
    log = tmp_path / "x.log"
    log.write_bytes(got.text)
    oracle = slcanBus.__new__(slcanBus)
    for piece, found in zip(PIECES, can.CanutilsLogReader(log), strict=True):
        oracle._queue = SimpleQueue()
        oracle._queue.put(piece.decode())
        meant, _ = oracle._recv_internal(0.0)
        assert found.arbitration_id == meant.arbitration_id, piece
        assert found.is_extended_id == meant.is_extended_id, piece
        assert found.is_remote_frame == meant.is_remote_frame, piece
        assert (found.is_fd, found.bitrate_switch) == (meant.is_fd, meant.bitrate_switch), piece
        if not meant.is_remote_frame:
            assert bytes(found.data) == bytes(meant.data), piece
    oracle._is_shutdown = True


def test_pieces_may_be_cut_anywhere(port):
    """However the bytes arrive, the same frames come out."""
    stream = b"".join(piece + b"\r" for piece in PIECES)
    listener = open_listener(parse_bus(f"slcan:{port}"))
    for size in (1, 2, 7, 50):
        text = b""
        for at in range(0, len(stream), size):
            text += fed(listener, stream[at : at + size]).text
        assert text.count(b"\n") == len(PIECES), size
    listener.close()


def test_noise_is_counted_and_what_follows_is_read(port):
    """A serial line that drops bytes costs the frames it hurts, no other."""
    listener = open_listener(parse_bus(f"slcan:{port}"))
    got = fed(
        listener, b"t1A280011\rt1A2\r\x00\xff\rt1A2G00\rz\r\r\at1A2101\rt1A281122334455667788ABCD\r"
    )
    listener.close()
    assert got.unreadable == 5
    bare = [line.split("can0 ")[1] for line in got.text.decode().splitlines()]
    assert bare == ["1A2#01", "1A2#1122334455667788"]  # the last with the adapter's own clock


def test_frames_are_timed_in_order_and_never_alike(tmp_path):
    """Frames that were read together are spread over the time since the last reading."""
    with adapter(tmp_path / "a", 2000.0):
        listener = open_listener(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}"))
        begin = time.time()
        lines, _ = receive(listener, 1.5)
        end = time.time()
        listener.close()
    t = np.array([float(line[1:18]) for line in lines])
    assert len(t) > 1000
    assert np.all(np.diff(t) > 0.0)
    assert begin - 0.2 < t[0]
    assert t[-1] < end
    # played evenly: no frame is farther from its place than the readings were apart
    number = np.array(numbers(lines))
    off = t - np.polyval(np.polyfit(number, t, 1), number)
    assert np.percentile(np.abs(off), 90) < 0.05


def test_the_adapter_is_told_to_listen_only_and_hears_nothing_else(tmp_path):
    """Close, bit rate, L, close: these bytes and no more, whatever comes in."""
    with adapter(tmp_path / "a", 1000.0):
        listener = open_listener(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}", 250_000))
        assert listener.told == "listens only (mode L)"
        lines, unreadable = receive(listener, 0.5)
        listener.close()
        wait_for(lambda: heard(tmp_path / "a").endswith(b"L\rC\r"))
    assert heard(tmp_path / "a") == b"C\rS5\rL\rC\r"
    assert unreadable == 0
    assert numbers(lines) == list(range(len(lines)))
    assert sent(tmp_path / "a") >= len(lines) > 100


def test_an_adapter_without_the_mode_is_refused(tmp_path):
    """The refusal says what could happen and how to insist; the channel stays closed."""
    with adapter(tmp_path / "a", 1000.0, "deaf"):
        with pytest.raises(RequestError, match=r"acknowledges every frame.*--insist") as caught:
            open_listener(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}"))
        assert "refuses to listen only" in str(caught.value)
        assert heard(tmp_path / "a") == b"C\rS6\rL\r"


def test_who_insists_listens_without_the_mode(tmp_path):
    """Still nothing but commands is written."""
    with adapter(tmp_path / "a", 1000.0, "deaf"):
        listener = open_listener(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}"), insist=True)
        lines, _ = receive(listener, 0.3)
        listener.close()
        wait_for(lambda: heard(tmp_path / "a").endswith(b"O\rC\r"))
    assert "as you insisted" in listener.told
    assert lines
    assert heard(tmp_path / "a") == b"C\rS6\rL\rO\rC\r"


def test_an_adapter_that_never_answers_is_listened_to_and_told(tmp_path):
    """Some firmware answers no command; it is told L all the same, and the session says so."""
    with adapter(tmp_path / "a", 1000.0, "mute"):
        listener = open_listener(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}"))
        lines, _ = receive(listener, 0.3)
        listener.close()
    assert "answers no command" in listener.told
    assert lines
    assert set(re.findall(rb"[^\r]+", heard(tmp_path / "a"))) == {b"C", b"S6", b"L"}


def test_an_adapter_left_open_by_a_crash_is_opened_anew(tmp_path):
    """Frames that stream in between are not taken for answers."""
    with adapter(tmp_path / "a", 3000.0):
        first = open_listener(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}"))
        receive(first, 0.2)
        first._port.serialPortOrig.close()  # as a kill does: no command is written
        time.sleep(0.2)
        second = open_listener(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}"))
        lines, _ = receive(second, 0.3)
        second.close()
    assert second.told == "listens only (mode L)"
    assert lines
    first._port._is_shutdown = True


@pytest.mark.parametrize(
    ("channel", "words"),
    [
        ("/dev/no-such-port", r"(?s)cannot be opened.*(plug the adapter in|serial port)"),
        ("nowhere://x", "cannot be opened"),
    ],
)
def test_a_port_that_is_not_there_is_named_with_a_cure(channel, words):
    """The message names the port, and the ports that are there."""
    with pytest.raises(RequestError, match=words) as caught:
        open_listener(parse_bus(f"slcan:{channel}"))
    assert channel in str(caught.value)


def test_a_port_that_may_not_be_used_says_how_to_be_let(monkeypatch):
    """Permission denied names the groups, and warns of running as administrator."""
    import serial

    def denied(*_, **__):
        raise serial.SerialException(13, "could not open port: [Errno 13] Permission denied")

    monkeypatch.setattr(serial, "serial_for_url", denied)
    with pytest.raises(RequestError, match="dialout"):
        open_listener(parse_bus("slcan:/dev/ttyACM0"))


def test_a_bit_rate_that_adapters_do_not_know_is_refused():
    """The message lists those that they know."""
    with pytest.raises(RequestError, match=r"(?s)--bitrate \(=123456\).*500000"):
        open_listener(parse_bus("slcan:/dev/ttyACM0", 123_456))


def test_no_command_that_sends_passes():
    """Of all commands of the protocol, none that puts a frame on the bus is let through."""
    for sends in ("t1230", "T000001230", "r1230", "R000001230", "d1230", "D000001230", "b1230",
                  "B000001230", "A", "X1", "Z1", "M00000000", "O1", "L\rt1230"):  # fmt: skip
        assert not COMMANDS.fullmatch(sends), sends
