"""Ask Linux how a CAN interface is set: whether its controller listens only.

Only the administrator can set that. It is read over netlink [1]_: one request for the link's
description goes to the kernel, nothing to the bus.

References
----------
.. [1] Linux, ``include/uapi/linux/rtnetlink.h``, ``if_link.h`` and ``can/netlink.h``.
"""

from __future__ import annotations

import socket
import struct
from collections.abc import Iterator
from dataclasses import dataclass

#: Numbers of the netlink protocol [1]_.
NETLINK_ROUTE, REQUEST, GET_LINK, ERROR = 0, 1, 18, 2
LINK_INFO, INFO_KIND, INFO_DATA = 18, 1, 2
CAN_BIT_TIMING, CAN_STATE, CAN_CONTROL_MODE = 1, 4, 5
#: Flag of the control mode: the controller listens only [1]_.
LISTEN_ONLY = 0x02
#: Flag of a link: it is up [1]_.
UP = 0x1
#: Marks of nested attributes, to be taken off their kind [1]_.
KIND_MASK = 0x3FFF
_HEADER, _LINK, _ATTRIBUTE = struct.Struct("=IHHII"), struct.Struct("=BxHiII"), struct.Struct("=HH")
#: Answers are shorter than this [byte].
LONGEST = 65536


@dataclass(frozen=True, slots=True)
class LinkMode:
    """How an interface is set.

    Parameters
    ----------
    kind : str
        ``can`` for a controller, ``vcan`` for a virtual one, others are no bus.
    is_up : bool
        Whether it is up.
    listens_only : bool
        Whether its controller is in its listen-only mode.
    bitrate : int or None
        Its bit rate [bit/s].
    """

    kind: str
    is_up: bool
    listens_only: bool
    bitrate: int | None


def _attributes(data: bytes) -> Iterator[tuple[int, bytes]]:
    """Go through attributes, each a length, a kind and what it holds, padded to four bytes."""
    at = 0
    while at + _ATTRIBUTE.size <= len(data):
        length, kind = _ATTRIBUTE.unpack_from(data, at)
        if length < _ATTRIBUTE.size:
            return
        yield kind & KIND_MASK, data[at + _ATTRIBUTE.size : at + length]
        at += (length + 3) & ~3


def parse_link(answer: bytes) -> LinkMode | None:
    """Read the kernel's description of a link.

    Parameters
    ----------
    answer : bytes
        A netlink message.

    Returns
    -------
    LinkMode or None
        How it is set; None if the kernel knows no such link.
    """
    _, kind, *_ = _HEADER.unpack_from(answer)
    if kind == ERROR:
        return None
    *_, flags, _ = _LINK.unpack_from(answer, _HEADER.size)
    info = dict(_attributes(answer[_HEADER.size + _LINK.size :])).get(LINK_INFO, b"")
    described = dict(_attributes(info))
    name = described.get(INFO_KIND, b"").rstrip(b"\0").decode("ascii", "replace")
    data = dict(_attributes(described.get(INFO_DATA, b""))) if name == "can" else {}
    mode = data.get(CAN_CONTROL_MODE, bytes(8))
    timing = data.get(CAN_BIT_TIMING)
    return LinkMode(
        kind=name,
        is_up=bool(flags & UP),
        listens_only=bool(struct.unpack_from("=II", mode)[1] & LISTEN_ONLY),
        bitrate=struct.unpack_from("=I", timing)[0] if timing else None,
    )


def link_mode(interface: str) -> LinkMode | None:
    """Ask how an interface is set.

    Parameters
    ----------
    interface : str
        Its name, such as ``can0``.

    Returns
    -------
    LinkMode or None
        How it is set; None if there is no such interface.

    Raises
    ------
    OSError
        If the system cannot be asked, or is not Linux.
    """
    if not hasattr(socket, "AF_NETLINK"):
        raise OSError("only Linux has CAN interfaces of its own")
    try:
        index = socket.if_nametoindex(interface)
    except OSError:
        return None
    body = _LINK.pack(socket.AF_UNSPEC, 0, index, 0, 0)
    request = _HEADER.pack(_HEADER.size + len(body), GET_LINK, REQUEST, 1, 0) + body
    with socket.socket(socket.AF_NETLINK, socket.SOCK_RAW, NETLINK_ROUTE) as kernel:
        kernel.sendto(request, (0, 0))
        return parse_link(kernel.recv(LONGEST))
