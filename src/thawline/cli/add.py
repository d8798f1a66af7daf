"""``thawline add``: keep a log or a table as a recording."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from thawline.cli.options import AsJson, Databases, Library, StartsAt, VehicleFile
from thawline.cli.speak import answer_json, parse_utc, progress, say, utc
from thawline.errors import RequestError

if TYPE_CHECKING:
    from thawline.library.library import Library as OpenLibrary
    from thawline.walk import Added


def add_files(
    files: list[Path],
    databases: list[Path],
    vehicle: Path | None,
    library: OpenLibrary,
    starts_at: float | None,
    *,
    keep_all: bool = False,
) -> Added:
    """Add files as one recording, showing progress.

    Parameters
    ----------
    files : list of Path
        Logs or tables of one occasion.
    databases : list of Path
        Signal databases.
    vehicle : Path or None
        The vehicle file.
    library : Library
        Where it is kept.
    starts_at : float or None
        When it began, for logs without a date, since 1970-01-01 UTC [s].
    keep_all : bool
        Whether signals that the vehicle file does not map are kept as well.

    Returns
    -------
    Added
        The recording, and whether it is new.

    Raises
    ------
    RequestError
        If no vehicle file is given.
    """
    from thawline.walk import add as walk_add  # imported here: help stays quick

    if vehicle is None:
        raise RequestError(
            f"{files[0]}: no vehicle file is given",
            cure="add --vehicle FILE.toml, which says which signal is which "
            "(docs/how_it_works.md shows one)",
        )
    with progress(f"reading {files[0].name}") as told:
        return walk_add(
            files, databases, vehicle, library, starts_at=starts_at, progress=told,
            keep_all=keep_all,
        )  # fmt: skip


def added_json(added: Added) -> dict[str, Any]:
    """Describe an added recording as the contract has it.

    Parameters
    ----------
    added : Added
        What adding gave.

    Returns
    -------
    dict
        One entry of ``recordings``.
    """
    recording = added.recording
    return {
        "id": recording.id,
        "vehicle": recording.vehicle.name,
        "starts_at": utc(recording.starts_at),
        "duration_s": round(recording.duration_s, 6),
        "frames": recording.quality.frames,
        "frames_left_out": sum(recording.quality.frames_left_out.values()),
        "left_out_by_reason": dict(recording.quality.frames_left_out),
        "channels": [
            {"path": path, "unit": channel.unit, "samples": len(channel.t)}
            for path, channel in recording.channels.items()
        ],
        "others": len(recording.others),
        "warnings": list(recording.quality.warnings),
        "is_new": added.is_new,
    }


def add(
    files: Annotated[list[Path], typer.Argument(help="Logs or tables.", metavar="FILE...")],
    database: Databases = None,
    vehicle: VehicleFile = None,
    library: Library = None,
    starts_at: StartsAt = None,
    together: Annotated[
        bool, typer.Option("--together", help="All files are one recording, in order of time.")
    ] = False,
    keep_all: Annotated[
        bool,
        typer.Option("--keep-all", help="Also keep signals that the vehicle file does not map."),
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Keep logs or tables as recordings; the same content twice is one recording."""
    from thawline.library.library import open_library  # imported here: help stays quick

    opened = open_library(library)
    begin = parse_utc(starts_at)
    documents = []
    for group in [files] if together else [[file] for file in files]:
        added = add_files(group, database or [], vehicle, opened, begin, keep_all=keep_all)
        documents.append(added_json(added))
        if not as_json:
            _tell(documents[-1])
    if as_json:
        answer_json({"recordings": documents})


def _tell(document: dict[str, Any]) -> None:
    kept = "kept" if document["is_new"] else "was kept before"
    say(
        f"{document['id']} {kept}: {document['frames']} frames, "
        f"{document['duration_s'] / 60:.1f} min, {len(document['channels'])} channels"
    )
    if document["others"]:
        say(f"  {document['others']} other signals are kept as they are")
    for text in document["warnings"]:
        say(f"  note: {text}")
    say(f"  next: thawline explain {document['id']} --html morning.html")
