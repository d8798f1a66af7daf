"""``thawline simulate``: a morning as it would have been, on a fitted model or a simulated car."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer, answer_json, say, write_page
from thawline.errors import RequestError

if TYPE_CHECKING:
    from thawline.simulating import Simulated
    from thawline.simulator.write import Written


def simulate(
    recording: Annotated[
        str | None, typer.Argument(help="A recording's name or the beginning of it.")
    ] = None,
    build: Annotated[
        str | None,
        typer.Option("--build", help="Simulate a car instead: gannet, petrel (invented), a file."),
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
        typer.Option("--fault", help="With --build: KIND=SIZE or KIND@PLACE=SIZE: weak-pump=0.5."),
    ] = None,
    seed: Annotated[
        int | None,
        typer.Option("--seed", help="With --build: of its bus, its noise and places of faults."),
    ] = None,
    add: Annotated[
        bool, typer.Option("--add", help="With --build: keep the morning, and print its name.")
    ] = False,
    leave_at: Annotated[
        float | None,
        typer.Option("--leave-at", help="The first trip, leaving so many seconds in, and cold."),
    ] = None,
    road: Annotated[
        str | None,
        typer.Option(
            "--road",
            help="With --leave-at: a shipped road or a table of speeds.",
            show_default="skerrow-town",
        ),
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
        if html is not None or price or leave_at is not None or road is not None:
            raise RequestError(
                "--html, --price, --leave-at and --road belong to a recording",
                cure="add --add, and simulate the recording that it names",
            )
        folder = out or Path("simulated")
        made = simulate_build(build, change, folder, wind, tuple(fault or ()), seed)
        _tell_made(made, _kept(made.written, library) if add else None, as_json=as_json)
        return
    assert recording is not None  # one of the two is given
    if out is not None or fault or wind != 1.0 or seed is not None or add:
        raise RequestError(
            "--out, --fault, --wind, --seed and --add belong to --build",
            cure="leave them out, or give --build",
        )
    if road is not None and leave_at is None:
        raise RequestError("--road belongs to --leave-at", cure="add --leave-at 1800")
    if leave_at is not None:
        if change != Change():
            raise RequestError(
                "--leave-at drives the morning as it was, with nothing changed",
                cure="leave the changes out",
            )
        _first_trip(recording, leave_at, road, price, html, library, as_json=as_json)
        return
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


def _tell_made(made: Simulated, kept: str | None, *, as_json: bool) -> None:
    written = made.written
    files = {"log": written.log, "database": written.database,
             "vehicle_file": written.vehicle_file, "truth": written.truth_json}  # fmt: skip
    told = {name: str(path) for name, path in files.items()}
    if kept is not None:
        told["recording"] = kept
    if as_json:
        faults = [{"kind": fault.what, "where": fault.where} for fault in made.faults]
        answer_json({**told, "faults": faults})
        return
    lines = [*told.items(), *(("fault", f"{f.what} {f.where}".rstrip()) for f in made.faults)]
    answer("\n".join(f"  {name:<13} {words}" for name, words in lines))


def _kept(written: Written, library: Path | None) -> str:
    """Keep a simulated morning, and give its name."""
    from thawline.cli.add import add_files  # imported here: help stays quick
    from thawline.library.library import open_library

    opened, databases = open_library(library), [written.database]
    added = add_files([written.log], databases, written.vehicle_file, opened, None)
    return added.recording.id


def _first_trip(
    recording: str,
    leave_s: float,
    road: str | None,
    price: float,
    html: Path | None,
    library: Path | None,
    *,
    as_json: bool,
) -> None:
    # imported here: help stays quick
    from thawline.library.library import open_library
    from thawline.report.trip_shown import trip_document, trip_text
    from thawline.simulating import first_trips
    from thawline.trip.traces import SHIPPED

    say("driving the first trip twice ...")
    found = first_trips(open_library(library), recording, leave_s, road or SHIPPED[0], price)
    if as_json:
        answer_json(trip_document(found))
    else:
        answer(trip_text(found))
    if html is not None:
        from thawline.report.trip_page import trip_page  # it loads charting

        write_page(trip_page(found), html)
