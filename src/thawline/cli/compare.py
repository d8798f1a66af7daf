"""``thawline compare``: two mornings side by side."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from thawline.cli.options import AsJson, Library
from thawline.cli.speak import answer, answer_json, write_page
from thawline.errors import RequestError


def compare(
    a: Annotated[str, typer.Argument(help="A recording's name or the beginning of it.")],
    b: Annotated[str, typer.Argument(help="Another one, told against the first.")],
    library: Library = None,
    tariff: Annotated[
        float | None,
        typer.Option("--tariff", help="Price of a kilowatt-hour, in any currency."),
    ] = None,
    html: Annotated[
        Path | None, typer.Option("--html", help="Write one self-contained page there.")
    ] = None,
    as_json: AsJson = False,
) -> None:
    """Compare two mornings: what differs, and the likely reason."""
    # imported here: help stays quick
    from thawline.compare.compare import compare as compared
    from thawline.library.library import open_library
    from thawline.library.listing import find
    from thawline.walk import explain_kept

    if tariff is not None and not 0.0 <= tariff < float("inf"):
        raise RequestError(
            f"--tariff (={tariff:g}) must be a price of 0 or more per kilowatt-hour",
            cure="for instance --tariff 0.30",
        )
    opened = open_library(library)
    names = find(opened, a), find(opened, b)
    if names[0] == names[1]:
        raise RequestError(
            f"{a!r} and {b!r} are the same recording", cure="name two different ones"
        )
    found = compared(explain_kept(opened, names[0]), explain_kept(opened, names[1]), tariff)
    if html is not None:
        from thawline.report.compare_page import compare_page

        write_page(compare_page(found), html)
    if as_json:
        from thawline.report.compare_document import compare_document

        answer_json(compare_document(found))
    else:
        from thawline.report.compare_text import compare_text

        answer(compare_text(found))
