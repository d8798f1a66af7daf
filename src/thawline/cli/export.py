"""``thawline export``: give a recording to other programs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer_json, say
from thawline.errors import RequestError


def export(
    recording: Annotated[str, typer.Argument(help="A recording's name or the beginning of it.")],
    out: Annotated[Path, typer.Argument(help="The file to write: .mf4, .parquet or .csv.")],
    form: Annotated[
        str | None,
        typer.Option("--format", "-f", help="mdf, parquet or csv; by the suffix if not given."),
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
    library: Library = None,
    as_json: AsJson = False,
) -> None:
    """Write a recording as MDF 4, Parquet or CSV, for other programs."""
    # imported here: help stays quick
    from thawline.export.by_format import format_of, write_recording
    from thawline.library.library import open_library
    from thawline.library.load import load

    chosen = format_of(out, form)
    if out.exists() and not force:
        raise RequestError("the file is there already", file=out, cure="add --force to replace it")
    kept = load(open_library(library), recording)
    write_recording(kept, out, chosen)
    if as_json:
        answer_json(
            {
                "recording": kept.id,
                "file": str(out),
                "format": chosen,
                "bytes": out.stat().st_size,
                "channels": [
                    {"path": path, "unit": channel.unit, "samples": len(channel.t)}
                    for path, channel in kept.channels.items()
                ],
            }
        )
    else:
        say(f"{kept.id}: {len(kept.channels)} channels written to {out} as {chosen}")
