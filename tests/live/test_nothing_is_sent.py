"""No code path transmits: read in the source, and tried on buses that refuse to send."""

import ast

import can
import pytest

from tests.house.reading import modules
from tests.live.playing import adapter, heard, listening, wait_for
from thawline.errors import ThawlineError
from thawline.library.library import open_library
from thawline.live.bus_spec import parse_bus
from thawline.live.opening import open_listener
from thawline.live.slcan_port import ListeningPort

#: What sends through python-can, a serial port or a socket.
SENDING = {
    "send", "send_periodic", "_send_periodic_internal", "sendall", "sendto", "sendmsg",
    "_tcp_send", "send_break", "write_timeout", "flush_tx_buffer",
    "ThreadSafeBus", "MessageSync", "Notifier", "RestartableCyclicTaskABC",
}  # fmt: skip
#: Where such a name may stand, and why it reaches no bus.
ALLOWED = {
    ("thawline.live.slcan_port", "send"),  # defined there to refuse
    ("thawline.live.socketcan_mode", "sendto"),  # asks the kernel over netlink
    ("thawline.cli.watch_explain", "send"),  # a pipe between our own two programs
}
#: The only modules that may touch python-can or a serial port at all.
NEAR_THE_BUS = {
    "thawline.live.slcan_port", "thawline.live.slcan", "thawline.live.through_can",
    "thawline.live.opening", "thawline.live.listened", "thawline.live.frame_lines",
    "thawline.live.listener",
}  # fmt: skip


def test_no_name_that_sends_is_used_outside_a_few_known_places():
    """Read in every module of the package."""
    found = set()
    for name, tree in modules().items():
        for node in ast.walk(tree):
            used = getattr(node, "attr", None) if isinstance(node, ast.Attribute) else None
            used = node.id if isinstance(node, ast.Name) else used
            if used in SENDING:
                found.add((name, used))
            if isinstance(node, ast.Constant) and node.value in SENDING - {"send"}:
                found.add((name, node.value))  # getattr(bus, "send_periodic")
    # a page's answer to a browser is sent, too (ASGI); pages know no adapter, see below
    answers = {(name, used) for name, used in found if name.startswith("thawline.web.")}
    assert {used for _, used in answers} <= {"send"}
    assert found - answers <= ALLOWED


def test_only_a_few_modules_know_adapters_at_all():
    """python-can opens buses, pyserial opens ports; nothing else in the package imports them."""
    near = set()
    for name, tree in modules().items():
        for node in ast.walk(tree):
            names = [a.name for a in node.names] if isinstance(node, ast.Import) else []
            if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
                names.append(node.module)
            if any(n.split(".")[0] in ("can", "serial") for n in names):
                near.add(name)
    # reading log files with python-can's readers opens no bus
    assert {n for n in near if not n.startswith("thawline.sources.")} <= NEAR_THE_BUS


def test_near_the_bus_nothing_is_written_to_a_port():
    """In these modules ``write`` stands nowhere but in the guarded command."""
    for name in NEAR_THE_BUS & set(modules()):
        for node in ast.walk(modules()[name]):
            if isinstance(node, ast.Attribute):
                assert node.attr not in {"write", "writelines", "serialPort"}, name
                if node.attr == "_write":
                    assert name == "thawline.live.slcan_port"


def test_the_port_refuses_to_send_whatever_it_is_given(tmp_path):
    """Frames, raw commands, and python-can's own periodic sender."""
    with adapter(tmp_path / "a", 100.0):
        port = ListeningPort(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}"), insist=False)
        frame = can.Message(arbitration_id=0x123, data=b"\x01")
        for try_ in (
            lambda: port.send(frame),
            lambda: port.send(frame, timeout=1.0),
            lambda: port._write("t123101"),
            lambda: port._write("O"),
            lambda: port._write("L\rt123101"),
        ):
            with pytest.raises(can.CanError):
                try_()
        port.shutdown()
        wait_for(lambda: heard(tmp_path / "a").endswith(b"L\rC\r"))
    assert heard(tmp_path / "a") == b"C\rS6\rL\rC\r"


def test_a_listener_has_no_way_to_send(tmp_path):
    """What the rest of the package holds of an adapter can only receive and close."""
    with adapter(tmp_path / "a", 100.0):
        slcan = open_listener(parse_bus(f"slcan:{tmp_path / 'a' / 'tty'}"))
        virtual = open_listener(parse_bus("virtual:nothing-is-sent"))
        for listener in (slcan, virtual):
            public = {name for name in dir(listener) if not name.startswith("_")}
            assert public == {"receive", "close", "told"}
            listener.close()


def test_a_whole_session_on_a_bus_that_cannot_send(tmp_path, monkeypatch):
    """Open, listen, lose, reconnect, end: with sending turned into a failure everywhere."""
    said = []

    def forbidden(self, *_, **__):
        said.append(type(self).__name__)
        raise AssertionError("something was sent")

    library = open_library(tmp_path / "library")
    other = can.Bus(interface="virtual", channel="cannot-send")
    real_send = other.send
    for kind in (can.BusABC, can.interfaces.virtual.VirtualBus):
        monkeypatch.setattr(kind, "send_periodic", forbidden)
    monkeypatch.setattr(can.interfaces.virtual.VirtualBus, "send", forbidden)
    with listening(tmp_path, library, "virtual:cannot-send") as session:
        frame = can.Message(arbitration_id=0x101, data=bytes(8), is_extended_id=False)
        for _ in range(5):
            real_send(frame)
        wait_for(lambda: session.beat().frames == 5)
        session.note("saw it")
    assert other.recv(0.0) is None
    other.shutdown()
    assert not said


def test_refusals_are_errors_of_ours():
    """Whoever opens an adapter needs to catch one kind of error only."""
    with pytest.raises(ThawlineError):
        open_listener(parse_bus("socketcan:no-such-interface"))
