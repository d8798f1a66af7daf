"""``thawline note``: write down what you did, or saw."""

from __future__ import annotations

from typing import Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer_json, say


def note(
    recording: Annotated[str, typer.Argument(help="A recording's name or the beginning of it.")],
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

    opened = open_library(library)
    name = find(opened, recording)
    kept = add_note(opened, name, at, text)
    if as_json:
        answer_json({"recording": name, "note": {"t_s": kept.at_s, "text": kept.text}})
    else:
        say(f"noted on {name}")
