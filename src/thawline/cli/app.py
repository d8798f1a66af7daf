"""The command line: every command, and what becomes of errors."""

from __future__ import annotations

import sys

import typer

from thawline.cli import (
    add,
    browse,
    compare,
    demo,
    explain,
    export,
    film,
    fleet,
    forecast,
    learn,
    note,
    plan,
    recordings,
    simulate,
    suggest,
    vehicle,
    watch,
)
from thawline.errors import ThawlineError

app = typer.Typer(
    name="thawline",
    help="Explain what an electric car did on a freezing morning, why, and what it cost.",
    epilog="Listen only. Thawline never writes to a car's bus. Orange cables are high voltage: "
    "leave them to trained people.",
    no_args_is_help=True,
    add_completion=False,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
)
app.command("demo")(demo.demo)
app.command("add")(add.add)
app.command("recordings")(recordings.recordings)
app.command("note")(note.note)
app.command("explain")(explain.explain)
app.command("forecast")(forecast.forecast)
app.command("plan")(plan.plan)
app.command("simulate")(simulate.simulate)
app.command("compare")(compare.compare)
app.command("learn")(learn.learn)
app.command("watch")(watch.watch)
app.command("browse")(browse.browse)
app.command("film")(film.film)
app.command("export")(export.export)
app.command("fleet")(fleet.fleet)
vehicle.app.command("suggest")(suggest.suggest)
app.add_typer(vehicle.app, name="vehicle")


def main() -> None:
    """Run the command line and turn errors into exit codes.

    Raises
    ------
    SystemExit
        0 done, 2 the request or a file is at fault, 130 interrupted; anything else is ours
        and leaves with 1.
    """
    try:
        app()
    except ThawlineError as error:
        print(f"thawline: {error}", file=sys.stderr)
        sys.exit(2)
    except KeyboardInterrupt:
        print("thawline: interrupted; nothing was half done", file=sys.stderr)
        sys.exit(130)
    except BrokenPipeError:
        sys.stderr.close()
        sys.exit(0)
