"""Open an adapter, and say plainly why it cannot be opened."""

from __future__ import annotations

import errno
from collections.abc import Callable
from pathlib import Path

import can

from thawline.errors import RequestError
from thawline.live.bus_spec import BusSpec
from thawline.live.listener import Listener
from thawline.live.slcan import SlcanListener
from thawline.live.through_can import open_socketcan, open_socketcand, open_virtual

_OPENERS: dict[str, Callable[[BusSpec, bool], Listener]] = {
    "slcan": SlcanListener,
    "socketcan": open_socketcan,
    "socketcand": open_socketcand,
    "virtual": open_virtual,
}


def open_listener(spec: BusSpec, *, insist: bool = False) -> Listener:
    """Open an adapter listening only.

    Parameters
    ----------
    spec : BusSpec
        The bus and its adapter.
    insist : bool
        Whether one that cannot listen only is opened all the same.

    Returns
    -------
    Listener
        The adapter, which has no way to send.

    Raises
    ------
    RequestError
        If it is not there, may not be used, is used by another program, or cannot listen only.
    """
    try:
        return _OPENERS[spec.interface](spec, insist)
    except (can.CanError, OSError, ValueError, NotImplementedError) as error:
        raise RequestError(f"{spec} cannot be opened: {error}", cure=_cure(spec, error)) from error


def _number(error: BaseException | None) -> int | None:
    """Find the system's number for an error, in it or in its causes."""
    while error is not None:
        number = getattr(error, "errno", None) or getattr(error, "error_code", None)
        if number:
            return int(number)
        error = error.__cause__ or error.__context__
    return None


def _cure(spec: BusSpec, error: BaseException) -> str:
    number = _number(error)
    if number in (errno.EACCES, errno.EPERM):
        return (
            "your account may not use it: add it to the port's group (often dialout or uucp), "
            "log in again; don't run Thawline as administrator"
        )
    if number in (errno.EBUSY, errno.EAGAIN):
        return "another program uses it: end that one"
    if spec.interface == "slcan":
        ports = sorted(str(p) for mask in ("ttyACM*", "ttyUSB*", "rfcomm*") for p in _ports(mask))
        there = f"serial ports now: {', '.join(ports)}" if ports else "no serial port is there now"
        return f"plug the adapter in (or pair it) and name its port; {there}"
    return "check that the adapter is plugged in and that its driver is loaded"


def _ports(mask: str) -> list[Path]:
    folder = Path("/dev")
    return list(folder.glob(mask)) if folder.is_dir() else []
