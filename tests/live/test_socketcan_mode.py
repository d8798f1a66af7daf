"""How Linux says that a CAN interface listens only.

The messages are built here by hand from Linux's ``rtnetlink.h``, ``if_link.h`` and
``can/netlink.h`` (from memory); the parser must not share code with that.
"""

import struct
import sys

import pytest

from tests.live.playing import wait_for
from thawline.errors import RequestError
from thawline.live import through_can
from thawline.live.bus_spec import parse_bus
from thawline.live.opening import open_listener
from thawline.live.socketcan_mode import LinkMode, link_mode, parse_link


def attribute(kind, content):
    whole = struct.pack("=HH", 4 + len(content), kind) + content
    return whole + bytes(-len(whole) % 4)


def answer(kind=b"can\0", flags=0x1, control=0x02, bitrate=500_000):
    """What the kernel answers for a CAN controller."""
    data = attribute(1, struct.pack("=8I", bitrate, 875, 125, 6, 7, 2, 1, 5))
    data += attribute(4, struct.pack("=I", 0))
    data += attribute(5, struct.pack("=II", 0xFFFF, control))
    info = attribute(1, kind) + attribute(2 | 0x8000, data)
    body = struct.pack("=BxHiII", 0, 280, 3, flags, 0)
    body += attribute(3, b"can0\0") + attribute(18 | 0x8000, info)
    return struct.pack("=IHHII", 16 + len(body), 16, 0, 1, 0) + body


@pytest.mark.parametrize(
    ("control", "listens"), [(0x02, True), (0x00, False), (0x22, True), (0x21, False)]
)
def test_the_listen_only_flag_is_read_among_others(control, listens):
    """CAN_CTRLMODE_LISTENONLY is 0x02; loop-back is 0x01, flexible data rate 0x20."""
    assert parse_link(answer(control=control)) == LinkMode("can", True, listens, 500_000)


def test_a_virtual_interface_has_no_controller():
    """Nothing can be set there, and nothing be disturbed."""
    assert parse_link(answer(kind=b"vcan\0")) == LinkMode("vcan", True, False, None)


def test_an_interface_that_is_down_says_so():
    """The flag IFF_UP is 0x1."""
    assert parse_link(answer(flags=0)).is_up is False


def test_an_error_means_that_there_is_none():
    """NLMSG_ERROR is message 2."""
    assert parse_link(struct.pack("=IHHIIi", 20, 2, 0, 1, 0, -19)) is None


@pytest.mark.skipif(sys.platform != "linux", reason="netlink is Linux's")
def test_the_kernel_answers_for_a_real_interface():
    """The loop-back interface is there and up, and no CAN bus."""
    found = link_mode("lo")
    assert found is not None
    assert found.is_up
    assert found.kind != "can"
    assert link_mode("no-such-if") is None


class FakeBus:
    """Stands for python-can's bus; a CAN controller is not to be had in tests."""

    def __init__(self):
        self.is_open = True

    def recv(self, timeout):
        return None

    def shutdown(self):
        self.is_open = False


def with_mode(monkeypatch, mode):
    monkeypatch.setattr(through_can, "link_mode", lambda name: mode)
    opened = []

    def bus(**options):
        opened.append(options)
        return FakeBus()

    monkeypatch.setattr(through_can, "_bus", bus)
    return opened


def test_an_interface_that_listens_only_is_opened(monkeypatch):
    """What it is set to is told."""
    opened = with_mode(monkeypatch, LinkMode("can", True, True, 500_000))
    listener = open_listener(parse_bus("socketcan:can0"))
    assert "listens only" in listener.told
    assert "500000 bit/s" in listener.told
    assert opened[0]["channel"] == "can0"


def test_an_interface_that_acknowledges_is_refused(monkeypatch):
    """Nothing is opened, and the commands that set it are told."""
    opened = with_mode(monkeypatch, LinkMode("can", True, False, 500_000))
    with pytest.raises(RequestError, match=r"listen-only on.*--insist"):
        open_listener(parse_bus("socketcan:can0"))
    assert not opened
    assert "as you insisted" in open_listener(parse_bus("socketcan:can0"), insist=True).told


@pytest.mark.parametrize(
    ("mode", "words"),
    [
        (None, "there is no network interface 'can0'"),
        (LinkMode("", True, False, None), "this is no CAN interface"),
        (LinkMode("can", False, True, None), r"is down.*ip link set can0 up"),
    ],
)
def test_what_is_no_bus_is_refused(monkeypatch, mode, words):
    """Missing, of another kind, or down: each has its own cure."""
    opened = with_mode(monkeypatch, mode)
    with pytest.raises(RequestError, match=words):
        open_listener(parse_bus("socketcan:can0"), insist=True)
    assert not opened


def test_waiting_is_bounded():
    """A test that waits in vain fails by itself."""
    with pytest.raises(AssertionError, match="in vain"):
        wait_for(lambda: False, 0.1)
