"""``thawline watch``: listen to a bus; the recording grows, and is explained as it grows."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from thawline.cli.options import Databases, Library, VehicleFile
from thawline.cli.speak import say
from thawline.errors import RequestError

Buses = Annotated[
    list[str] | None,
    typer.Option(
        "--bus",
        "-b",
        help="An adapter, as interface:channel, such as slcan:/dev/ttyACM0 (serial, also over "
        "Bluetooth), socketcan:can0 or socketcand:HOST:PORT/can0; name=interface:channel names "
        "the bus; repeatable.",
    ),
]


def watch(
    bus: Buses = None,
    database: Databases = None,
    vehicle: VehicleFile = None,
    bitrate: Annotated[
        int, typer.Option("--bitrate", help="Bit rate of the bus, for serial adapters [bit/s].")
    ] = 500_000,
    play: Annotated[
        Path | None, typer.Option("--play", help="Play this log as if it were a bus.")
    ] = None,
    speed: Annotated[
        float, typer.Option("--speed", help="How much faster than time a log is played.")
    ] = 1.0,
    for_s: Annotated[
        float | None, typer.Option("--for", help="End after so many seconds; else Ctrl-C ends.")
    ] = None,
    level: Annotated[
        list[float] | None,
        typer.Option("--level", help="Also when so many kW of regeneration come; repeatable."),
    ] = None,
    insist: Annotated[
        bool,
        typer.Option(
            "--insist",
            help="Listen through an adapter that cannot listen only: it acknowledges frames, "
            "and at a wrong bit rate disturbs the bus.",
        ),
    ] = False,
    drop_frames: Annotated[
        bool,
        typer.Option("--drop-frames", help="Delete the frames once they are a recording."),
    ] = False,
    recover: Annotated[
        bool,
        typer.Option("--recover", help="Only make recordings of what broke off, then end."),
    ] = False,
    library: Library = None,
    as_json: Annotated[
        bool, typer.Option("--json", help="Print one JSON document a second, each on one line.")
    ] = False,
) -> None:
    """Listen to a bus, never sending, and explain the recording while it grows.

    Keys, or lines on standard input, write notes. Whoever drives does not read a screen.
    """
    # imported here: help stays quick
    from thawline.library.library import open_library

    opened = open_library(library)
    if recover:
        from thawline.cli.watch_end import recover_all

        if not recover_all(opened, keep_frames=not drop_frames, as_json=as_json):
            say("nothing broke off")
        return
    from thawline.cli.watch_run import Wishes, run
    from thawline.live.bus_spec import parse_buses
    from thawline.live.listening import Listening

    if play is not None and bus:
        raise RequestError("--play and --bus exclude each other", cure="leave one of them out")
    if play is None and not bus:
        raise RequestError(
            "there is nothing to listen to",
            cure="add --bus slcan:/dev/ttyACM0 or --bus socketcan:can0, or --play LOG",
        )
    if vehicle is None or not database:
        missing = "vehicle file" if vehicle is None else "signal database"
        raise RequestError(
            f"no {missing} is given",
            cure="add --vehicle FILE.toml and --database FILE.dbc: they say what the frames mean",
        )
    if for_s is not None and not for_s > 0.0:
        raise RequestError(f"--for (={for_s:g}) must be above 0 s", cure="for instance --for 600")
    listening = Listening(
        opened, vehicle, database, parse_buses(bus or [], bitrate), insist=insist, play=play,
        speed=speed,
    )  # fmt: skip
    run(
        listening,
        opened,
        Wishes(for_s, tuple(level or ()), as_json=as_json, keep_frames=not drop_frames),
    )
