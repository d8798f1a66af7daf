"""``thawline fleet``: many recordings at once, on many workers."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from contextlib import ExitStack, contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from thawline.cli.options import AsJson
from thawline.cli.options import Library as LibraryOption
from thawline.cli.speak import answer, answer_json, say, write_page
from thawline.errors import RequestError

if TYPE_CHECKING:
    from thawline.fleet.fleet import Fleet

#: What each stage does, for who waits.
STAGES = {
    "look": "study: each recording",
    "findings": "study: beside earlier mornings",
    "limits": "limits: each vehicle",
    "trends": "trends: each vehicle",
    "warm-up": "priors: fitting warm-ups",
    "pooling": "priors: what models share",
    "tables": "tables",
}


def fleet(
    address: Annotated[
        str | None,
        typer.Argument(help="A library: a folder, or an address such as s3://bucket/library."),
    ] = None,
    out: Annotated[
        Path, typer.Option("--out", help="Folder for the results; a run that broke off goes on.")
    ] = Path("fleet"),
    workers: Annotated[
        int | None,
        typer.Option(
            "--workers",
            min=0,
            help="Processes on this machine; 0: no cluster.",
            show_default="one for each core",
        ),
    ] = None,
    scheduler: Annotated[
        str | None,
        typer.Option("--scheduler", help="Use the cluster at this address, tcp://host:port."),
    ] = None,
    warm_ups: Annotated[
        bool,
        typer.Option(
            "--warm-ups/--no-warm-ups",
            help="Fit the warm-up model to each vehicle's latest mornings.",
        ),
    ] = True,
    tariff: Annotated[
        float | None, typer.Option("--tariff", help="Price of a kilowatt-hour, for the cost.")
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write one self-contained page there.")
    ] = None,
    library: LibraryOption = None,
    as_json: AsJson = False,
) -> None:
    """Study all recordings of a library: findings, limits, trends, and what models share."""
    # imported here: help stays quick
    from thawline.cli.counting import counting
    from thawline.fleet.done import open_done
    from thawline.fleet.hire import hired, usual_workers
    from thawline.fleet.run import run
    from thawline.fleet.source import open_source
    from thawline.fleet.tables import write_tables
    from thawline.library.library import default_folder

    if scheduler is not None and workers is not None:
        raise RequestError("--scheduler brings its own workers", cure="leave --workers out")
    if tariff is not None and not 0.0 < tariff < float("inf"):
        raise RequestError(f"the tariff (={tariff:g}) must be above 0", cure="give a price per kWh")
    place = address or str(library or default_folder())
    with counting("listing") as told:
        source = open_source(place, told)
    if not source.entries and not source.errors:
        raise RequestError(f"the library {place} is empty", cure="add logs first")
    count = usual_workers() if workers is None else workers
    with open_done(out) as done, hired(count, scheduler) as force, _stages() as tell:
        found = run(source, force, done, tell, tariff, with_warm_ups=warm_ups)
        tell("tables", 0, 1)
        files = write_tables(found, out)
    if source.library is not None:
        from thawline.fleet.share import keep_shared
        from thawline.trends.kept import keep_studies

        keep_shared(source.library, found)
        listed = {entry.id for entry in source.entries}
        keep_studies(source.library, list(found.studies.values()), listed)
    _tell(found, [str(path) for path in files], html, as_json)


@contextmanager
def _stages() -> Iterator[Callable[[str, int, int], None]]:
    """Tell each stage as it begins, and how many of its tasks are done."""
    from thawline.cli.counting import counting  # imported here: help stays quick

    now = ""
    told: Callable[[int, int], None]
    with ExitStack() as bar:

        def tell(stage: str, done: int, total: int) -> None:
            nonlocal now, told
            if stage != now:
                bar.close()
                now = stage
                say(f"{STAGES[stage]} …")
                told = bar.enter_context(counting(STAGES[stage]))
            told(done, total)

        yield tell


def _tell(found: Fleet, files: list[str], html: Path | None, as_json: bool) -> None:
    from thawline.fleet.text import fleet_document, fleet_text  # imported here: help stays quick

    if html is not None:
        from thawline.fleet.page import fleet_page

        write_page(fleet_page(found), html)
    if as_json:
        answer_json(fleet_document(found, files))
        return
    answer(fleet_text(found))
    say(f"{found.computed} tasks done, {found.reused} were done before")
    say(f"tables: {Path(files[0]).parent.resolve()}")
