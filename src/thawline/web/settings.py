"""How the pages are served: to whom, under which names, and how much may be uploaded."""

from __future__ import annotations

import ipaddress
import secrets
import socket
from dataclasses import dataclass

#: Names under which this machine may always be asked, as long as only it can ask.
OWN_NAMES = ("127.0.0.1", "localhost", "::1")
#: Bytes that an upload may have unless the person says otherwise [byte].
UPLOAD_LIMIT = 4_000_000_000


@dataclass(frozen=True, slots=True)
class Settings:
    """How the pages are served.

    Parameters
    ----------
    host : str
        The address that is listened on.
    port : int
        The port that is listened on [1].
    token : str
        What others than this machine must show; empty where only this machine can ask.
    names : tuple of str
        Host names that a request may be addressed to.
    upload_limit_bytes : int
        Largest upload [byte].
    is_apart : bool
        Whether heavy work is done in processes of its own; else in threads.
    """

    host: str = "127.0.0.1"
    port: int = 8737
    token: str = ""
    names: tuple[str, ...] = OWN_NAMES
    upload_limit_bytes: int = UPLOAD_LIMIT
    is_apart: bool = True

    @property
    def is_open(self) -> bool:
        """Whether others than this machine can ask."""
        return bool(self.token)


def is_loopback(host: str) -> bool:
    """Tell whether an address can only be reached from this machine.

    Parameters
    ----------
    host : str
        An address or a name.

    Returns
    -------
    bool
        True for ``localhost`` and loopback addresses.
    """
    if host.lower() == "localhost":
        return True
    try:
        return ipaddress.ip_address(host).is_loopback
    except ValueError:
        return False


def settings_for(
    host: str, port: int, names: tuple[str, ...] = (), upload_limit_bytes: int = UPLOAD_LIMIT
) -> Settings:
    """Make the settings for an address; where others can reach it, with a new token.

    Parameters
    ----------
    host : str
        The address to listen on.
    port : int
        The port to listen on [1].
    names : tuple of str
        Further host names that a request may be addressed to.
    upload_limit_bytes : int
        Largest upload [byte].

    Returns
    -------
    Settings
        The settings.
    """
    token = "" if is_loopback(host) else secrets.token_urlsafe(32)
    everywhere = (socket.gethostname().lower(),) if host in ("0.0.0.0", "::") else ()
    known = (*OWN_NAMES, host.lower(), *everywhere, *(name.lower() for name in names))
    return Settings(host, port, token, tuple(dict.fromkeys(known)), upload_limit_bytes)
