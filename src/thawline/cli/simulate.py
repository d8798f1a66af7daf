"""``thawline simulate``: a morning as it would have been, on a fitted model or a simulated car."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer, answer_json, say, write_page
from thawline.errors import RequestError


def simulate(
    recording: Annotated[
        str | None, typer.Argument(help="A recording's name or the beginning of it.")
    ] = None,
    build: Annotated[
        str | None,
        typer.Option("--build", help="Simulate a car instead: gannet, petrel (both invented)."),
    ] = None,
    colder: Annotated[
        float, typer.Option("--colder", help="So many kelvins colder; negative: warmer.")
    ] = 0.0,
    supply_kW: Annotated[
        float | None, typer.Option("--supply-kW", help="Ceiling of the supply, in kW.")
    ] = None,
    supply_V: Annotated[
        float | None, typer.Option("--supply-V", help="Volts of each phase, with --supply-A.")
    ] = None,
    supply_A: Annotated[
        float | None, typer.Option("--supply-A", help="Amps of each phase, with --supply-V.")
    ] = None,
    phases: Annotated[int, typer.Option("--phases", help="Phases of the supply: 1 or 3.")] = 1,
    garage: Annotated[
        float | None,
        typer.Option("--garage", help="Car and air begin, and air stays, at so many °C."),
    ] = None,
    no_cabin: Annotated[bool, typer.Option("--no-cabin", help="Leave the cabin cold.")] = False,
    drive_units: Annotated[
        int | None, typer.Option("--drive-units", help="How many drive units heat.")
    ] = None,
    price: Annotated[float, typer.Option("--price", help="Price of a kWh.")] = 0.0,
    wind: Annotated[
        float, typer.Option("--wind", help="With --build: loss to the air over that in still air.")
    ] = 1.0,
    fault: Annotated[
        list[str] | None,
        typer.Option("--fault", help="With --build: KIND=SIZE, for instance weak-pump=0.5."),
    ] = None,
    out: Annotated[
        Path | None, typer.Option("--out", help="With --build: folder for log, database, truth.")
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write one self-contained page there.")
    ] = None,
    library: Library = None,
    as_json: AsJson = False,
) -> None:
    """Run a morning again with something changed: on its fitted model, or on a simulated car."""
    # imported here: help stays quick
    from thawline.simulating import simulate_build, what_if
    from thawline.whatif.change import Change
    from thawline.whatif.supply import supply_ceiling

    ceiling = supply_ceiling(supply_kW, supply_V, supply_A, phases)
    change = Change(colder, ceiling, no_cabin, drive_units, garage)
    if (recording is None) == (build is None):
        raise RequestError(
            "give a recording, or --build with a car", cure="thawline simulate ID --colder 10"
        )
    if build is not None:
        if html is not None or price:
            raise RequestError(
                "--html and --price belong to a recording", cure="explain the simulated log"
            )
        folder = out or Path("simulated")
        written = simulate_build(build, change, folder, wind, tuple(fault or ()))
        told = {"log": written.log, "database": written.database,
                "vehicle_file": written.vehicle_file, "truth": written.truth_json}  # fmt: skip
        if as_json:
            answer_json({name: str(path) for name, path in told.items()})
        else:
            answer("\n".join(f"  {name:<13} {path}" for name, path in told.items()))
        return
    assert recording is not None  # one of the two is given
    if out is not None or fault or wind != 1.0:
        raise RequestError(
            "--out, --fault and --wind belong to --build", cure="leave them out, or give --build"
        )
    from thawline.library.library import open_library
    from thawline.report.whatif_shown import whatif_document, whatif_page, whatif_text

    say("fitting the morning's model ...")
    found = what_if(open_library(library), recording, change, price)
    if as_json:
        answer_json(whatif_document(found))
    else:
        answer(whatif_text(found))
    if html is not None:
        write_page(whatif_page(found), html)
