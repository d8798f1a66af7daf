"""Options that several commands share."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Library = Annotated[
    Path | None,
    typer.Option(
        "--library",
        envvar="THAWLINE_LIBRARY",
        help="Folder in which recordings are kept.",
        show_default="in your user data folder",
    ),
]
AsJson = Annotated[
    bool, typer.Option("--json", help="Print one JSON document on standard output, nothing else.")
]
Databases = Annotated[
    list[Path] | None,
    typer.Option("--database", "-d", help="Signal database (DBC, KCD, SYM, ARXML); repeatable."),
]
VehicleFile = Annotated[
    Path | None, typer.Option("--vehicle", "-v", help="Vehicle file (TOML): which signal is which.")
]
StartsAt = Annotated[
    str | None,
    typer.Option(
        "--starts-at",
        help="When the log began, for logs without a date: RFC 3339, such as 2026-01-17T06:12:00Z.",
    ),
]
