"""``thawline recordings``: what the library keeps."""

from __future__ import annotations

from typing import Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer, answer_json, parse_utc, say, utc


def recordings(
    vehicle: Annotated[
        str | None, typer.Option("--vehicle", help="Only those of this vehicle.")
    ] = None,
    since: Annotated[
        str | None, typer.Option("--since", help="Only those that began at or after this time.")
    ] = None,
    until: Annotated[
        str | None, typer.Option("--until", help="Only those that began before this time.")
    ] = None,
    text: Annotated[
        str | None, typer.Option("--text", help="Only those with these words in name or notes.")
    ] = None,
    library: Library = None,
    as_json: AsJson = False,
) -> None:
    """List the recordings in the library."""
    # imported here: help stays quick
    from thawline.library.library import open_library
    from thawline.library.listing import listing
    from thawline.live.running import leftover, running

    opened = open_library(library)
    found = listing(opened, vehicle, parse_utc(since), parse_utc(until), text)
    if as_json:
        answer_json(
            {
                "recordings": [
                    {
                        "id": entry.id,
                        "vehicle": entry.vehicle,
                        "starts_at": utc(entry.starts_at),
                        "duration_s": round(entry.duration_s, 6),
                        "frames": entry.frames,
                        "frames_left_out": entry.frames_left_out,
                        "channels": entry.channels,
                        "samples": entry.samples,
                        "notes": entry.notes,
                    }
                    for entry in found
                ]
            }
        )
        return
    for session in running(opened):
        say(f"{session.id} is growing: `thawline watch` listens")
    for session in leftover(opened):
        say(f"{session.id} broke off: `thawline watch --recover` makes a recording of it")
    if not found:
        say("no recordings; `thawline add` keeps one")
    width = max((len(entry.id) for entry in found), default=0)
    for entry in found:
        noted = f", {entry.notes} notes" if entry.notes else ""
        begin = utc(entry.starts_at)
        when = f"{begin[:16]}Z" if begin else "without a date   "
        answer(
            f"{entry.id:<{width}}  {entry.vehicle}  {when}  "
            f"{entry.duration_s / 60:6.1f} min  {entry.channels} channels{noted}"
        )
