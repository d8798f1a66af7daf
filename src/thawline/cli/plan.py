"""``thawline plan``: what to do before leaving, so that the car is ready at least cost."""

from __future__ import annotations

import sys
import time
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer, answer_json, say, write_page

if TYPE_CHECKING:
    from thawline.plan.asked import Supply
    from thawline.trip.trace import Trace


def plan(
    vehicle: Annotated[
        str,
        typer.Option("--vehicle", "-v", help="A vehicle of the library, or a vehicle file (TOML)."),
    ],
    leave: Annotated[
        list[str],
        typer.Option(
            "--leave", help="When to leave: 07:45, or 2026-01-17T07:45; repeatable: ready at each."
        ),
    ],
    outside: Annotated[
        str,
        typer.Option("--outside", help="Air outside in °C: a number, or a CSV table time, degC."),
    ],
    supply: Annotated[
        str,
        typer.Option("--supply", help="Volts and amps, and phases if not one: 230V32A, 230V16Ax3."),
    ],
    breaker: Annotated[
        float | None,
        typer.Option("--breaker", help="Rating of the branch circuit in A; 80 % of it is used."),
    ] = None,
    charge: Annotated[
        float | None, typer.Option("--charge", help="Least charge when leaving, in %.")
    ] = None,
    charge_now: Annotated[
        float | None,
        typer.Option("--charge-now", help="Charge now, in %; else as the last recording ended."),
    ] = None,
    regeneration: Annotated[
        float | None, typer.Option("--regeneration", help="Least regenerative power, in kW.")
    ] = None,
    cabin: Annotated[
        float | None, typer.Option("--cabin", help="Least cabin temperature, in °C.")
    ] = None,
    clear_glass: Annotated[
        bool,
        typer.Option("--clear-glass", help="Glass warmer than the dew point of the cabin's air."),
    ] = False,
    humidity: Annotated[
        float | None,
        typer.Option("--humidity", help="Relative humidity of the cabin's air when warm, in %."),
    ] = None,
    tariff: Annotated[
        str,
        typer.Option("--tariff", help="Price per kWh: a number, or a table by time (CSV, TOML)."),
    ] = "0",
    currency: Annotated[str, typer.Option("--currency", help="Its currency, for show.")] = "",
    carbon: Annotated[
        str | None,
        typer.Option("--carbon", help="Carbon dioxide in g/kWh: a number, or a table by time."),
    ] = None,
    carbon_price: Annotated[
        float,
        typer.Option("--carbon-price", help="What a kilogram of it counts in the choice."),
    ] = 0.0,
    chance: Annotated[
        float, typer.Option("--chance", help="With which probability to be ready.")
    ] = 0.9,
    pack: Annotated[
        float | None,
        typer.Option("--pack", help="Temperature of the pack now, in °C; else as cold as outside."),
    ] = None,
    heat_to: Annotated[
        float | None,
        typer.Option("--heat-to", help="Coldest cell to heat to, in °C, if the car lets you say."),
    ] = None,
    no_help: Annotated[
        bool,
        typer.Option("--no-help", help="The pack must not feed heating that the supply cannot."),
    ] = False,
    garage: Annotated[
        float | None,
        typer.Option("--garage", help="Also the same from a garage at so many °C."),
    ] = None,
    trip: Annotated[
        str | None,
        typer.Option(
            "--trip",
            help="First trip: a shipped name, or a speed table; none: no trip.",
            show_default="a shipped one",
        ),
    ] = None,
    now: Annotated[
        str | None, typer.Option("--now", help="Plan as if it were then.", show_default="now")
    ] = None,
    quick: Annotated[bool, typer.Option("--quick", help="Leave out what each wish costs.")] = False,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write one self-contained page there.")
    ] = None,
    library: Library = None,
    as_json: AsJson = False,
) -> None:
    """Plan charging and warming, so that the car is ready at least cost."""
    # imported here: help stays quick
    from thawline.library.library import open_library
    from thawline.plan.asked import Asked, Wishes
    from thawline.plan.reading import read_by_time, read_moment
    from thawline.plan.settings import setting
    from thawline.planning import plan_for
    from thawline.report.plan_document import plan_document
    from thawline.report.plan_text import plan_text

    zone = datetime.now().astimezone().tzinfo
    assert zone is not None
    now_s = time.time() if now is None else read_moment(now, 0.0, zone, "--now")
    air, _ = read_by_time(outside, "--outside", now_s, zone, is_line=True)
    price, told = read_by_time(tariff, "--tariff", now_s, zone, is_line=False)
    grams = None if carbon is None else read_by_time(carbon, "--carbon", now_s, zone,
                                                     is_line=False)[0]  # fmt: skip
    wishes = Wishes(
        tuple(sorted(read_moment(text, now_s, zone) for text in leave)),
        charge,
        regeneration,
        cabin,
        clear_glass,
        setting("humidity_pct") if humidity is None else humidity,
    )
    asked = Asked(
        now_s, wishes, _supply(supply, breaker), air, price, currency or told, grams, carbon_price,
        charge_now, pack, chance, not no_help, heat_to, garage, zone,
    )  # fmt: skip
    is_file = Path(vehicle).suffix.lower() == ".toml" and Path(vehicle).is_file()
    opened = None if is_file and library is None else open_library(library)
    found = plan_for(opened, vehicle, asked, _trip(trip), is_quick=quick, progress=_progress)
    if as_json:
        answer_json(plan_document(found))
    else:
        answer(plan_text(found))
    if html is not None:
        from thawline.report.plan_page import plan_page  # it loads charting

        write_page(plan_page(found), html)


def _supply(text: str, breaker: float | None) -> Supply:
    from thawline.plan.reading import read_supply  # as above

    return read_supply(text, breaker)


def _trip(name: str | None) -> tuple[str, Trace] | None:
    from thawline.trip.traces import SHIPPED, find_trace  # as above

    if name == "none":
        return None
    chosen = name or SHIPPED[0]
    return Path(chosen).stem, find_trace(chosen)


def _progress(what: str, done: int, whole: int) -> None:
    if sys.stderr.isatty():
        say(f"{what}: {done} of {whole}")
