"""The door: all pages together, behind the guard."""

from __future__ import annotations

import asyncio
import threading
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from urllib.parse import urlsplit

from fastapi import FastAPI
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from thawline.library.library import Library
from thawline.library.listing import listing
from thawline.report.choice import USUAL
from thawline.report.templating import environment
from thawline.web import (
    adding,
    comparing,
    faults,
    instant,
    limits,
    live,
    planning,
    recording,
    recordings,
    statics,
    zooming,
)
from thawline.web.desk import COOKIES, Desk, desk_for, show
from thawline.web.guard import Guard
from thawline.web.recordings import ON_PAGE
from thawline.web.settings import Settings

#: A choice of units is remembered for so long [s].
REMEMBERED_S = 365 * 86400


def door(library: Library, settings: Settings) -> FastAPI:
    """Put all pages together.

    Parameters
    ----------
    library : Library
        Where the recordings are.
    settings : Settings
        How the pages are served.

    Returns
    -------
    FastAPI
        The application; ``app.state.desk`` holds what its pages have at hand.
    """
    desk = desk_for(library, settings)

    @asynccontextmanager
    async def lifespan(_: FastAPI) -> AsyncIterator[None]:
        stop = threading.Event()
        names = [entry.id for entry in listing(library)[::-1]]
        looking = asyncio.get_running_loop().run_in_executor(None, prepare, desk, names, stop)
        yield
        stop.set()
        for each in desk.kept.get("growing", {}).values():
            each.close()
        desk.shelf.close()
        desk.jobs.close()
        await looking

    # its own pages on the interface would load scripts from elsewhere: there are none
    app = FastAPI(lifespan=lifespan, docs_url=None, redoc_url=None, openapi_url=None)
    app.state.desk = desk
    for router in (
        recordings.routes(desk), adding.routes(desk), recording.routes(desk),
        instant.routes(desk), zooming.routes(desk), comparing.routes(desk), limits.routes(desk),
        live.routes(desk), planning.routes(desk), statics.routes(),
    ):  # fmt: skip
        app.include_router(router)

    @app.get("/units")
    def units(request: Request) -> Response:
        return keep_units(request)

    @app.get("/keys")
    def keys(request: Request) -> Response:
        return show(request, "keys.html")

    faults.add_faults(app)
    app.add_middleware(Guard, settings=settings)
    return app


def prepare(desk: Desk, names: list[str], stop: threading.Event) -> None:
    """Load what the first page with charts needs, and look at recordings before anybody asks.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.
    names : list of str
        Whole names of recordings, the most wanted first.
    stop : Event
        Set when nobody will ask any more.
    """
    import bokeh.plotting  # noqa: F401  # half a second: better now than with the first page

    for template in ("recording.html", "recordings.html", "charts.html", "answers.html"):
        environment(USUAL, "thawline.web").get_template(template)
    desk.shelf.look_ahead(names[:ON_PAGE], stop.is_set)


def keep_units(request: Request) -> Response:
    """Remember the units that a reader chose, and lead back.

    Parameters
    ----------
    request : Request
        The request.

    Returns
    -------
    Response
        Leads to a page of ours only.
    """
    there = urlsplit(request.query_params.get("back", "/"))
    path = "/" + there.path.lstrip("/\\")  # one slash: two would lead to another host
    answer = RedirectResponse(path + (f"?{there.query}" if there.query else ""), 303)
    for name, known in COOKIES.items():
        if request.query_params.get(name) in known:
            answer.set_cookie(
                f"thawline-{name}", request.query_params[name], REMEMBERED_S, samesite="lax"
            )
    return answer
