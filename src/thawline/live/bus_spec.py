"""Which adapter is listened through, as a person writes it: ``name=interface:channel``."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from thawline.errors import RequestError, did_you_mean

#: Interfaces of python-can that are listened through; each says what follows its colon.
INTERFACES = {
    "socketcan": "can0",
    "slcan": "/dev/ttyACM0",
    "virtual": "demo",
    "socketcand": "192.0.2.1:29536/can0",
}
#: Bit rate of a car's bus where none is given; common practice, no source [bit/s].
USUAL_BITRATE = 500_000
_NAME = re.compile(r"[A-Za-z0-9_.-]+")


@dataclass(frozen=True, slots=True)
class BusSpec:
    """One bus and the adapter on it.

    Parameters
    ----------
    name : str
        Name of the bus in the recording.
    interface : str
        One of ``INTERFACES``.
    channel : str
        Which adapter: a port, a network interface, a server and its bus.
    bitrate : int
        Bit rate of the bus, for adapters that must be told [bit/s].
    """

    name: str
    interface: str
    channel: str
    bitrate: int = USUAL_BITRATE

    def __str__(self) -> str:
        """Write it as a person does."""
        return f"{self.interface}:{self.channel}"


def parse_bus(text: str, bitrate: int = USUAL_BITRATE) -> BusSpec:
    """Read what a person wrote.

    Parameters
    ----------
    text : str
        Such as ``slcan:/dev/ttyACM0`` or ``can1=socketcan:can0``; without a name it is ``can0``
        (for socketcan, the channel's own).
    bitrate : int
        Bit rate of the bus [bit/s].

    Returns
    -------
    BusSpec
        The bus.

    Raises
    ------
    RequestError
        If there is no such interface, or no channel is named.
    """
    head, _, channel = text.partition(":")
    name, has_name, interface = head.rpartition("=")
    if interface not in INTERFACES:
        raise RequestError(
            f"there is no interface {interface!r} in --bus {text!r}",
            cure=did_you_mean(interface, INTERFACES)
            or f"write one of {', '.join(f'{i}:{c}' for i, c in INTERFACES.items())}",
        )
    if not channel:
        raise RequestError(
            f"--bus {text!r} names no channel",
            cure=f"write it as {interface}:{INTERFACES[interface]}",
        )
    if has_name and not _NAME.fullmatch(name):
        raise RequestError(
            f"{name!r} in --bus {text!r} cannot be the name of a bus",
            cure="use letters, digits, dots, dashes and underscores",
        )
    own = channel if interface == "socketcan" and _NAME.fullmatch(channel) else "can0"
    return BusSpec(name or own, interface, channel, bitrate)


def parse_buses(texts: Sequence[str], bitrate: int = USUAL_BITRATE) -> tuple[BusSpec, ...]:
    """Read several buses; those without a name are numbered.

    Parameters
    ----------
    texts : sequence of str
        What ``parse_bus`` takes.
    bitrate : int
        Bit rate of all of them [bit/s].

    Returns
    -------
    tuple of BusSpec
        The buses.

    Raises
    ------
    RequestError
        If one cannot be read, or two have the same name or the same channel.
    """
    found: list[BusSpec] = []
    for number, text in enumerate(texts):
        spec = parse_bus(text, bitrate)
        if "=" not in text.partition(":")[0] and any(spec.name == other.name for other in found):
            spec = replace(spec, name=f"can{number}")
        for other in found:
            if spec.name == other.name or str(spec) == str(other):
                raise RequestError(
                    f"--bus {text!r} is named twice",
                    cure="give each bus its own name and adapter: name=interface:channel",
                )
        found.append(spec)
    return tuple(found)
