"""``thawline vehicle``: what a vehicle file makes possible."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thawline.cli.options import AsJson, Databases
from thawline.cli.speak import answer, answer_json

if TYPE_CHECKING:
    from thawline.signals.database import Database
    from thawline.vehicle.vehicle import Vehicle

app = typer.Typer(help="Check a vehicle file.", no_args_is_help=True, rich_markup_mode=None)


@app.callback()
def _group() -> None:
    """Check a vehicle file."""


@app.command("check")
def check(
    vehicle: Annotated[Path, typer.Argument(help="The vehicle file (TOML).", metavar="TOML")],
    logs: Annotated[
        list[Path] | None, typer.Argument(help="Logs or tables that it should fit.")
    ] = None,
    database: Databases = None,
    as_json: AsJson = False,
) -> None:
    """Say what a vehicle file lacks, and what cannot be computed without it."""
    # imported here: help stays quick
    from thawline.signals.database import read_database
    from thawline.vehicle.check import check as check_vehicle
    from thawline.vehicle.check_show import check_json, check_text
    from thawline.vehicle.read import read_vehicle

    read = read_vehicle(vehicle)
    found = read_database(database) if database else None
    result = check_vehicle(read, found, None)
    samples, warnings = _recorded(logs, read, found) if logs else ({}, [])
    if as_json:
        recorded = {"recorded": samples, "warnings": warnings} if logs else {}
        answer_json({**check_json(result), **recorded})
        return
    answer(check_text(result))
    for path, count in samples.items():
        answer(f"  {count:>9} samples  {path}")
    for text in warnings:
        answer(f"  note: {text}")


def _recorded(
    logs: list[Path], read: Vehicle, database: Database | None
) -> tuple[dict[str, int], list[str]]:
    """Try the vehicle file on logs, without keeping anything."""
    from thawline.recording.gather import gather  # imported here: help stays quick

    recording = gather(logs, read, database)
    samples = {
        path: len(recording.channels[path].t) if path in recording.channels else 0
        for path in read.signals
    }
    return samples, list(recording.quality.warnings)
