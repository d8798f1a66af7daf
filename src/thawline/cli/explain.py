"""``thawline explain``: what the car did, why, and where the energy went."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thawline.cli.add import add_files
from thawline.cli.options import AsJson, Databases, Library, StartsAt, VehicleFile
from thawline.cli.speak import answer, answer_json, parse_utc, write_page
from thawline.errors import RequestError

if TYPE_CHECKING:
    from thawline.report.explained import Explained


def explain(
    recording: Annotated[
        str,
        typer.Argument(help="A recording's name or the beginning of it; or a log or table."),
    ],
    database: Databases = None,
    vehicle: VehicleFile = None,
    library: Library = None,
    starts_at: StartsAt = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write one self-contained page there.")
    ] = None,
    why_not: Annotated[
        str | None,
        typer.Option(
            "--why-not",
            help="What keeps it from being more: charging, regeneration or pack-heating. "
            "Needs --at.",
        ),
    ] = None,
    at: Annotated[
        float | None, typer.Option("--at", help="The instant, in seconds from the first sample.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Explain a recording: story, ledgers, and what can't be told."""
    # imported here: help stays quick
    from thawline.library.library import open_library
    from thawline.walk import explain_kept

    opened = open_library(library)
    name = recording
    if Path(recording).is_file():
        begin = parse_utc(starts_at)
        added = add_files([Path(recording)], database or [], vehicle, opened, begin)
        name = added.recording.id
    elif database or vehicle:
        raise RequestError(
            f"there is no file {recording!r}",
            cure="give a log or a table, or a recording's name without --database and --vehicle",
        )
    explained = explain_kept(opened, name)
    if html is not None:
        from thawline.report.page import page  # loads the charting library

        write_page(page(explained), html)
    if why_not is not None or at is not None:
        _answer_why_not(explained, why_not, at, as_json)
    elif as_json:
        from thawline.report.document import document

        answer_json(document(explained))
    else:
        from thawline.report.text import text

        answer(text(explained))


def _answer_why_not(
    explained: Explained, what: str | None, at_s: float | None, as_json: bool
) -> None:
    from dataclasses import asdict

    from thawline.story.why_not import why_not

    if what is None or at_s is None:
        raise RequestError(
            "--why-not and --at belong together",
            cure="for instance: --why-not charging --at 300",
        )
    recording, flows, story = explained.recording, explained.flows, explained.story
    found = why_not(recording, flows, story, what, at_s, explained.known)
    if as_json:
        answer_json({"recording": recording.id, "why_not": asdict(found)})
    else:
        answer(found.because)
