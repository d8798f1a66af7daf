"""``thawline demo``: invented mornings in an invented town, from log to page."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from thawline.cli.options import AsJson
from thawline.cli.speak import answer, answer_json, say, write_page


def demo(
    folder: Annotated[
        Path, typer.Argument(help="Where the demo's logs, library and pages go.")
    ] = Path("demo-out"),
    as_json: AsJson = False,
) -> None:
    """Make invented mornings, keep them in a library of their own, and explain them."""
    # imported here: help stays quick
    from thawline.library.library import open_library
    from thawline.report.document import document
    from thawline.report.page import page
    from thawline.report.text import text
    from thawline.simulator.demo import make
    from thawline.walk import add, explain_kept

    say(f"simulating mornings in Skerrow, an invented harbour town, into {folder}/ ...")
    written = make(folder / "logs")
    library = open_library(folder / "library")
    names = []
    for morning in written:
        added = add([morning.log], [morning.database], morning.vehicle_file, library)
        names.append(added.recording.id)
        say(f"kept {added.recording.id} from {morning.log.name}")
    explained = [explain_kept(library, name) for name in names]
    if as_json:
        answer_json({"recordings": [document(each) for each in explained]})
    else:
        answer(text(explained[0]))
    for each in explained:
        write_page(page(each), folder / f"{each.recording.id}.html")
    say("")
    say(f"the first page: {(folder / f'{names[0]}.html').resolve()}")
    say(f"more to try:    thawline recordings --library {folder / 'library'}")
    say(f"in the browser: thawline browse --library {folder / 'library'}")
