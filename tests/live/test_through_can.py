"""Buses of python-can: a virtual one, and a server that speaks socketcand's protocol.

The protocol: ``< hi >``, ``< open can0 >`` answered by ``< ok >``, ``< rawmode >`` answered by
``< ok >``, then ``< frame 123 23.424242 11223344 >``; socketcand,
``doc/protocol.md`` (from memory).
"""

import socket
import threading
import time

import can
import pytest

from thawline.errors import RequestError
from thawline.live.bus_spec import parse_bus
from thawline.live.opening import open_listener


def test_frames_of_a_virtual_bus_come_in_order_with_their_times():
    """Another node of the same bus is heard; its time is believed if it is near ours."""
    listener = open_listener(parse_bus("virtual:in-order"))
    other = can.Bus(interface="virtual", channel="in-order", preserve_timestamps=True)
    begin = time.time()
    for i in range(700):
        message = can.Message(
            arbitration_id=i, data=[i % 256], is_extended_id=False,
            timestamp=begin + i / 1e4 if i < 699 else 5.0,
        )  # fmt: skip
        other.send(message)
    lines: list[str] = []
    while len(lines) < 700:
        got = listener.receive(time.time)
        assert got.frames
        lines += got.text.decode().splitlines()
    listener.close()
    other.shutdown()
    assert [int(line.split()[2].split("#")[0], 16) for line in lines] == list(range(700))
    t = [float(line[1:18]) for line in lines]
    assert abs(t[100] - (begin + 0.01)) < 2e-6
    assert abs(t[699] - time.time()) < 5.0  # a time of 1970 is not


class Server:
    """Speaks the server's side of the protocol, and keeps what it is told."""

    def __init__(self, frames):
        self._frames = frames
        self.heard = b""
        self._socket = socket.create_server(("127.0.0.1", 0))
        self.port = self._socket.getsockname()[1]
        self._thread = threading.Thread(target=self._serve, daemon=True)
        self._thread.start()

    def _serve(self):
        while True:
            try:
                peer, _ = self._socket.accept()
            except OSError:
                return
            with peer:
                peer.sendall(b"< hi >")
                try:
                    while data := peer.recv(1000):
                        self.heard += data
                        peer.sendall(b"< ok >")
                        if b"rawmode" in data:
                            peer.sendall(self._frames)
                except OSError:
                    continue

    def close(self):
        self._socket.close()


@pytest.fixture
def server():
    made = Server(b"< frame 123 1700000000.5 1122 >< frame 18FEF100 1700000000.6 FF >")
    yield made
    made.close()


def test_a_server_is_refused_unless_one_insists(server):
    """Whether its interface listens only cannot be seen from here."""
    with pytest.raises(RequestError, match=r"cannot be seen.*--insist"):
        open_listener(parse_bus(f"socketcand:127.0.0.1:{server.port}/can0"))
    assert server.heard == b""


def test_who_insists_gets_the_servers_frames(server):
    """And the server is asked to open and to pass frames on, nothing else."""
    listener = open_listener(parse_bus(f"socketcand:127.0.0.1:{server.port}/can0"), insist=True)
    text, until = b"", time.monotonic() + 10.0
    while text.count(b"\n") < 2 and time.monotonic() < until:
        text += listener.receive(time.time).text
    listener.close()
    assert [line.split()[2] for line in text.decode().splitlines()] == ["123#1122", "18FEF100#FF"]
    assert server.heard.replace(b" ", b"") == b"<opencan0><rawmode>"


@pytest.mark.parametrize("channel", ["can0", "host/can0", "host:x/can0", "host:29536"])
def test_a_server_must_be_written_whole(channel):
    """Host, port and bus are needed; the message shows how."""
    with pytest.raises(RequestError, match=r"socketcand:192\.0\.2\.1:29536/can0"):
        open_listener(parse_bus(f"socketcand:{channel}"), insist=True)


def test_a_server_that_is_not_there_is_told_at_once():
    """Not after ten seconds of trying."""
    with socket.create_server(("127.0.0.1", 0)) as taken:
        port = taken.getsockname()[1]
    begin = time.monotonic()
    with pytest.raises(RequestError, match="does not answer"):
        open_listener(parse_bus(f"socketcand:127.0.0.1:{port}/can0"), insist=True)
    assert time.monotonic() - begin < 5.0
