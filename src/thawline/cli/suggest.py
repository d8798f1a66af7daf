"""``thawline vehicle suggest``: propose which signal of a database is which."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from thawline.cli.options import AsJson, Databases
from thawline.cli.speak import answer, answer_json, progress, say
from thawline.errors import RequestError

if TYPE_CHECKING:
    from thawline.suggest.suggestion import Suggestion


def suggest(
    logs: Annotated[
        list[Path], typer.Argument(help="Logs, or tables, of one car.", metavar="LOG...")
    ],
    database: Databases = None,
    name: Annotated[
        str, typer.Option("--name", "-n", help="The vehicle's name in the file.")
    ] = "My car",
    out: Annotated[
        Path | None, typer.Option("--out", "-o", help="Write the vehicle file here.")
    ] = None,
    force: Annotated[bool, typer.Option("--force", help="Replace a file that is there.")] = False,
    as_json: AsJson = False,
) -> None:
    """Propose which signal is which, from names and from the data, as a vehicle file to edit."""
    # imported here: help stays quick
    from thawline.signals.database import read_database
    from thawline.suggest.propose import propose
    from thawline.suggest.write import vehicle_toml

    _check_place(out, force=force)
    known = read_database(database) if database else None
    with progress(f"reading {logs[0].name}") as told:
        suggestion = propose(logs, known, progress=told)
    text = vehicle_toml(suggestion, name)
    if out is not None:
        _write(out, text)
    if as_json:
        answer_json(suggestion_json(suggestion, name))
    elif out is None:
        answer(text)
    _tell(suggestion, out)


def _check_place(out: Path | None, *, force: bool) -> None:
    if out is not None and out.exists() and not force:
        raise RequestError("the file is there already", file=out, cure="add --force to replace it")


def _write(out: Path, text: str) -> None:
    try:
        out.write_text(text, encoding="utf-8")
    except OSError as error:
        raise RequestError(
            f"the file cannot be written ({error.strerror})",
            file=out,
            cure="name a file in a folder that is there and that you may write to",
        ) from error


def suggestion_json(suggestion: Suggestion, name: str) -> dict[str, Any]:
    """Describe a suggestion as one JSON document.

    Parameters
    ----------
    suggestion : Suggestion
        The suggestion.
    name : str
        The vehicle's name.

    Returns
    -------
    dict
        Proposals with their evidence, what was left out, and what was estimated.
    """
    return {
        "vehicle": name,
        "proposals": [
            {
                "path": one.path,
                "from": one.from_,
                "unit": one.unit,
                "sign": one.sign,
                "true_when": list(one.true_when),
                "confidence": round(one.confidence, 3),
                "because": list(one.because),
                "evidence": list(one.evidence),
            }
            for one in suggestion.proposals
        ],
        "left_out": [
            {"from": one.from_, "why": one.why, "nearest": one.nearest or None}
            for one in suggestion.left_out
        ],
        "usable_energy_kWh": suggestion.usable_energy_kWh,
        "usable_energy_plus_minus_kWh": suggestion.usable_energy_plus_minus_kWh,
        "cells_in_series": suggestion.cells_in_series,
        "drive_units": suggestion.drive_units,
        "warnings": list(suggestion.warnings),
    }


def _tell(suggestion: Suggestion, out: Path | None) -> None:
    minutes = suggestion.seconds / 60.0
    say(
        f"{len(suggestion.proposals)} signals proposed from {minutes:.0f} min, "
        f"{len(suggestion.left_out)} left out"
    )
    for text in suggestion.warnings:
        say(f"  note: {text}")
    if suggestion.usable_energy_kWh is None:
        say("  note: the pack's usable energy was not found; write it into the file")
    if out is not None:
        say(f"  next: read {out}, then thawline vehicle check {out}")
