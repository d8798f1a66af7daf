"""``thawline browse``: recordings in the browser."""

from __future__ import annotations

import socket
from typing import Annotated
from urllib.parse import quote

import typer

from thawline.cli.options import Library
from thawline.cli.speak import say
from thawline.errors import RequestError

#: Bytes in a megabyte [byte].
MEGABYTE = 10**6


def browse(
    library: Library = None,
    host: Annotated[
        str, typer.Option("--host", help="Address to listen on; others than this machine's own "
                          "need a token, which is printed.")
    ] = "127.0.0.1",
    port: Annotated[
        int, typer.Option("--port", min=0, max=65535, help="Port to listen on; 0: any free one.")
    ] = 8737,
    allow_host: Annotated[
        list[str] | None,
        typer.Option("--allow-host", help="A further host name under which it may be asked for; "
                     "repeatable."),
    ] = None,
    upload_limit: Annotated[
        int, typer.Option("--upload-limit", min=1, help="Largest upload, in MB.")
    ] = 4000,
    is_shown: Annotated[
        bool, typer.Option("--open", help="Also open the first page in your browser.")
    ] = False,
) -> None:  # fmt: skip
    """Show the recordings in a browser on this machine; nothing is fetched from a network."""
    # imported here: help stays quick
    import uvicorn

    from thawline.library.library import open_library
    from thawline.web.door import door
    from thawline.web.settings import settings_for

    listening = listen(host, port)
    port = int(listening.getsockname()[1])
    settings = settings_for(host, port, tuple(allow_host or ()), upload_limit * MEGABYTE)
    app = door(open_library(library), settings)
    address = address_of(host, port, settings.token)
    say(f"pages: {address}")
    if settings.token:
        say("Whoever has this address can read and add recordings: give it to nobody else. The "
            "way there is not encrypted; use it in a network that you trust.")  # fmt: skip
    say("Ctrl+C ends it.")
    if is_shown:
        import webbrowser

        webbrowser.open(address)
    server = uvicorn.Server(
        uvicorn.Config(app, log_level="warning", access_log=False, server_header=False)
    )
    server.run(sockets=[listening])


def listen(host: str, port: int) -> socket.socket:
    """Open the port, so that a taken one is told at once.

    Parameters
    ----------
    host : str
        Address to listen on.
    port : int
        Port to listen on; 0: any free one [1].

    Returns
    -------
    socket
        It listens.

    Raises
    ------
    RequestError
        If the port is taken or the address is not this machine's.
    """
    try:
        family = socket.getaddrinfo(host, port, type=socket.SOCK_STREAM)[0][0]
        listening = socket.socket(family, socket.SOCK_STREAM)
        listening.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        listening.bind((host, port))
        listening.listen()  # who opens the printed address at once waits instead of failing
    except OSError as error:
        raise RequestError(
            f"cannot listen on {host}, port {port}: {error.strerror or error}",
            cure="choose another with --port, for instance --port 0 for any free one",
        ) from error
    return listening


def address_of(host: str, port: int, token: str) -> str:
    """Write the address of the first page.

    Parameters
    ----------
    host : str
        Address that is listened on.
    port : int
        Port that is listened on [1].
    token : str
        The token, if one is needed.

    Returns
    -------
    str
        What to open.
    """
    everywhere = {"0.0.0.0": socket.gethostname(), "::": socket.gethostname()}
    name = everywhere.get(host, host)
    shown = f"[{name}]" if ":" in name else name
    return f"http://{shown}:{port}/" + (f"?token={quote(token)}" if token else "")
