"""The page on which two mornings are compared."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import Response

from thawline.compare.compare import compare
from thawline.errors import RequestError, ThawlineError
from thawline.library.listing import find, listing
from thawline.report.compare_page import told_of_comparison
from thawline.report.templating import embedded_data
from thawline.web.charts import without_eval
from thawline.web.desk import Desk, choice_of, in_page, show
from thawline.web.recordings import row_of


def routes(desk: Desk) -> APIRouter:
    """Lay the routes.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.

    Returns
    -------
    APIRouter
        ``/compare``.
    """
    router = APIRouter()

    @router.get("/compare")
    def compare_two(request: Request, a: str = "", b: str = "", tariff: str = "") -> Response:
        rows = [row_of(desk, entry) for entry in listing(desk.library)[::-1]]
        asked = {"a": a, "b": b, "tariff": tariff}
        if not (a and b):
            return show(request, "compare_form.html", rows=rows, asked=asked, problem="")
        try:
            names = find(desk.library, a), find(desk.library, b)
            if names[0] == names[1]:
                raise RequestError(
                    f"{a!r} and {b!r} are the same recording", cure="choose two different ones"
                )
            sides = [desk.shelf.take(name).explained for name in names]
            found = compare(sides[0], sides[1], _price(tariff))
        except ThawlineError as error:
            return show(request, "compare_form.html", 400, rows=rows, asked=asked,
                        problem=str(error))  # fmt: skip
        words, figures = told_of_comparison(found, choice_of(request))
        for figure in figures.values():
            without_eval(figure)
        roots, document = embedded_data(figures)
        return show(request, "compare_two.html", rows=rows, asked=asked, roots=roots,
                    data=in_page(document), **words)  # fmt: skip

    return router


def _price(text: str) -> float | None:
    if not text.strip():
        return None
    try:
        price = float(text)
    except ValueError:
        price = -1.0
    if not 0.0 <= price < float("inf"):
        raise RequestError(
            f"the tariff (={text!r}) must be a price of 0 or more per kilowatt-hour",
            cure="for instance 0.30",
        )
    return price
