"""``thawline note``: write down what you did, or saw."""

from __future__ import annotations

from typing import Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer_json, say


def note(
    recording: Annotated[
        str,
        typer.Argument(help="A recording's name or the beginning of it; or of one that grows."),
    ],
    text: Annotated[str, typer.Argument(help="What to write down.")],
    at: Annotated[
        float | None, typer.Option("--at", help="Its moment, in seconds from the first sample.")
    ] = None,
    library: Library = None,
    as_json: AsJson = False,
) -> None:
    """Write a note on a recording, or on a moment of it."""
    # imported here: help stays quick
    from thawline.library.library import open_library
    from thawline.library.listing import find
    from thawline.library.notes import add_note
    from thawline.live.events import write_note
    from thawline.live.running import running

    opened = open_library(library)
    growing = [session for session in running(opened) if session.id.startswith(recording)]
    if len(growing) == 1:
        session = growing[0]
        event = write_note(session, text, None if at is None else session.started_at + at)
        if as_json:
            t_s = round(event.at - session.started_at, 3)
            answer_json({"recording": session.id, "note": {"t_s": t_s, "text": event.text}})
        else:
            say(f"noted on {session.id}, which is growing")
        return
    name = find(opened, recording)
    kept = add_note(opened, name, at, text)
    if as_json:
        answer_json({"recording": name, "note": {"t_s": kept.at_s, "text": kept.text}})
    else:
        say(f"noted on {name}")
