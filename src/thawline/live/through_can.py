"""Listen through python-can: a Linux interface, a server of one, or a virtual bus."""

from __future__ import annotations

import contextlib
import socket
from typing import Any

import can

from thawline.errors import RequestError
from thawline.live.bus_spec import BusSpec
from thawline.live.frame_lines import line_of
from thawline.live.listener import Clock, Received, refuse
from thawline.live.socketcan_mode import link_mode

#: Time to wait for a frame [s].
WAIT_S = 0.1
#: Frames that are taken at once [1].
AT_ONCE = 500
#: A frame's own time is believed if it is this near to ours [s].
NEAR_S = 1.0
#: Room for frames that wait in the kernel, asked for [byte].
KERNEL_BYTES = 8 << 20
#: A server answers within this time [s].
SERVER_S = 5.0


class CanListener:
    """A bus of python-can.

    Parameters
    ----------
    bus : can.BusABC
        The bus, open.
    name : str
        Its name in the recording.
    told : str
        How it listens, in plain words.
    """

    def __init__(self, bus: can.BusABC, name: str, told: str) -> None:
        self._bus, self._name, self.told = bus, name.encode(), told

    def receive(self, clock: Clock) -> Received:
        """Wait a moment for frames and give them.

        Parameters
        ----------
        clock : callable
            Gives the time.

        Returns
        -------
        Received
            What came.

        Raises
        ------
        can.CanError, OSError
            If the bus is gone.
        """
        message = self._bus.recv(WAIT_S)
        lines = []
        while message is not None:
            now = clock()
            t = message.timestamp if abs(message.timestamp - now) < NEAR_S else now
            lines.append(line_of(message, self._name, t))
            message = self._bus.recv(0.0) if len(lines) < AT_ONCE else None
        return Received(b"".join(lines), len(lines))

    def close(self) -> None:
        """Let the bus go."""
        with contextlib.suppress(can.CanError, OSError):
            self._bus.shutdown()


def _bus(**options: Any) -> can.BusABC:
    return can.Bus(**options, ignore_config=True)


def open_socketcan(spec: BusSpec, insist: bool) -> CanListener:
    """Open a CAN interface of Linux, if it is set to listen only.

    Parameters
    ----------
    spec : BusSpec
        The bus; its channel is the interface.
    insist : bool
        Whether one that is not set so is opened all the same.

    Returns
    -------
    CanListener
        The bus.

    Raises
    ------
    RequestError
        If there is no such interface, it is down, no bus, or not set to listen only.
    can.CanError, OSError
        If it cannot be opened.
    """
    name = spec.channel
    mode = link_mode(name)
    set_it = (
        f"set it with: ip link set {name} down; ip link set {name} type can bitrate "
        f"{spec.bitrate} listen-only on; ip link set {name} up"
    )
    if mode is None or mode.kind not in ("can", "vcan", "vxcan"):
        what = "there is no network interface" if mode is None else "this is no CAN interface:"
        have = ", ".join(n for _, n in socket.if_nameindex() if "can" in n) or "none"
        raise RequestError(
            f"{what} {name!r}",
            cure=f"plug the adapter in and look at `ip link` (CAN interfaces now: {have})",
        )
    if not mode.is_up:
        raise RequestError(f"the interface {name!r} is down", cure=set_it)
    told = "listens only (set on the interface)"
    if mode.kind != "can":
        told = "a virtual bus of this computer; nothing can be disturbed"
    elif not mode.listens_only:
        if not insist:
            raise refuse(f"the interface {name!r}", "it is not set to listen only", set_it)
        told = "acknowledges frames (not set to listen only), as you insisted"
    if mode.bitrate is not None:
        told += f", {mode.bitrate} bit/s"
    bus = _bus(interface="socketcan", channel=name, fd=True)
    with contextlib.suppress(OSError):  # the kernel may grant less
        listened = getattr(bus, "socket", None)
        if isinstance(listened, socket.socket):
            listened.setsockopt(socket.SOL_SOCKET, socket.SO_RCVBUF, KERNEL_BYTES)
    return CanListener(bus, spec.name, told)


def open_socketcand(spec: BusSpec, insist: bool) -> CanListener:
    """Open a bus that a server (socketcand) passes on.

    Parameters
    ----------
    spec : BusSpec
        The bus; its channel is ``host:port/bus``.
    insist : bool
        Whether it is opened although nobody here can see whether it listens only.

    Returns
    -------
    CanListener
        The bus.

    Raises
    ------
    RequestError
        If the channel is not written so, the server does not answer, or nobody insists.
    can.CanError, OSError
        If the server refuses.
    """
    server, _, channel = spec.channel.partition("/")
    host, _, port = server.rpartition(":")
    if not (host and port.isdecimal() and channel):
        raise RequestError(
            f"the channel {spec.channel!r} of socketcand must name host, port and bus",
            cure="write it as socketcand:192.0.2.1:29536/can0",
        )
    if not insist:
        raise refuse(
            f"the bus {channel!r} of the server {server}",
            "whether its interface is set to listen only cannot be seen from here",
            f"set it there: ip link set {channel} type can listen-only on",
        )
    try:
        socket.create_connection((host, int(port)), SERVER_S).close()
    except OSError as error:
        raise RequestError(
            f"the server {server} does not answer: {error.strerror or error}",
            cure="start socketcand there, and check host and port",
        ) from error
    bus = _bus(interface="socketcand", host=host, port=int(port), channel=channel)
    return CanListener(bus, spec.name, "whether it listens only is the server's matter")


def open_virtual(spec: BusSpec, insist: bool) -> CanListener:  # noqa: ARG001 # all openers take it
    """Open a virtual bus within this program.

    Parameters
    ----------
    spec : BusSpec
        The bus.
    insist : bool
        Without meaning here.

    Returns
    -------
    CanListener
        The bus.
    """
    bus = _bus(interface="virtual", channel=spec.channel, protocol=can.CanProtocol.CAN_FD)
    return CanListener(bus, spec.name, "a virtual bus within this program")
