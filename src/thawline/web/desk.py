"""What every page has at hand, and how a page is set."""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from typing import Any

from starlette.requests import Request
from starlette.responses import HTMLResponse

from thawline import __version__
from thawline.library.library import Library
from thawline.report.choice import ENERGIES, TEMPERATURES, Choice
from thawline.report.prose import cautions
from thawline.report.templating import environment
from thawline.web.ahead import Ahead
from thawline.web.jobs import Jobs
from thawline.web.samples import Lines
from thawline.web.settings import Settings
from thawline.web.shelf import Shelf

#: Cookies that hold the units chosen.
COOKIES = {"temperature": TEMPERATURES, "energy": ENERGIES}


@dataclass(frozen=True, slots=True)
class Desk:
    """What every page has at hand.

    Parameters
    ----------
    library : Library
        Where the recordings are.
    settings : Settings
        How the pages are served.
    shelf : Shelf
        Explained recordings.
    jobs : Jobs
        Long work.
    ahead : Ahead
        Forecasts that were asked for.
    lines : Lines
        Samples ready to be thinned.
    kept : dict
        What other pages keep between requests, by page.
    """

    library: Library
    settings: Settings
    shelf: Shelf
    jobs: Jobs
    ahead: Ahead
    lines: Lines
    kept: dict[str, Any] = field(default_factory=dict)


def desk_for(library: Library, settings: Settings) -> Desk:
    """Lay the desk for a library.

    Parameters
    ----------
    library : Library
        The library.
    settings : Settings
        How the pages are served.

    Returns
    -------
    Desk
        Nothing on it yet.
    """
    jobs = Jobs(settings.is_apart)
    return Desk(library, settings, Shelf(library), jobs, Ahead(library, jobs), Lines())


def choice_of(request: Request) -> Choice:
    """Read which units the reader chose, from the address or else from a cookie.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    Choice
        The units; °C and kWh where nothing was chosen.
    """
    found = {}
    for name, known in COOKIES.items():
        said = request.query_params.get(name) or request.cookies.get(f"thawline-{name}")
        found[name] = said if said in known else known[0]
    return Choice(**found)


def words_in(request: Request, template: str, **words: object) -> str:
    """Set a piece of a page.

    Parameters
    ----------
    request : Request
        The request, which knows the units.
    template : str
        File of the template.
    **words : object
        What it says.

    Returns
    -------
    str
        HTML.
    """
    choice = choice_of(request)
    made = environment(choice, "thawline.web").get_template(template)
    given = {"version": __version__, "choice": choice, "cautions": cautions(), **words}
    return made.render(**given)


def show(request: Request, template: str, status: int = 200, **words: object) -> HTMLResponse:
    """Set a page.

    Parameters
    ----------
    request : Request
        The request.
    template : str
        File of the template.
    status : int
        The answer's status code [1].
    **words : object
        What it says.

    Returns
    -------
    HTMLResponse
        The page.
    """
    here = request.url.path + (f"?{request.url.query}" if request.url.query else "")
    return HTMLResponse(words_in(request, template, here=here, **words), status)


def in_page(data: Any) -> Any:
    """Write data so that it can stand in a page as JSON, whatever it holds.

    Parameters
    ----------
    data : object
        The data; bytes in them must be encoded already.

    Returns
    -------
    Markup
        JSON in which nothing ends the element that it stands in.
    """
    from markupsafe import Markup  # comes with jinja2

    text = json.dumps(data, allow_nan=False, ensure_ascii=False, separators=(",", ":"))
    for mark in "<>&\u2028\u2029":
        text = text.replace(mark, f"\\u{ord(mark):04x}")
    return Markup(text)  # every mark that HTML could act on is written as an escape
