"""Styles and scripts: our own, those that the reports share, and the charting library's."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from pathlib import Path

from fastapi import APIRouter
from starlette.responses import PlainTextResponse, Response

from thawline import __version__
from thawline.report.figure import LEFT, RIGHT
from thawline.report.palette import palette
from thawline.report.templating import environment

#: What is served from the package's own folder, and as what.
OWN = {
    "web.css": "text/css",
    "icon.svg": "image/svg+xml",
    "cursor.js": "text/javascript",
    "charts.js": "text/javascript",
    "list.js": "text/javascript",
    "upload.js": "text/javascript",
    "keys.js": "text/javascript",
    "wait.js": "text/javascript",
    "live.js": "text/javascript",
}
#: What is set from the reports' templates.
SHARED = {"report.css": ("page.css", "more.css"), "page.js": ("page.js",)}
#: The charting library of the installed wheel.
BOKEH = "bokeh.min.js"
#: A file may be kept by the browser: its address changes with the version.
KEEP = {"Cache-Control": "public, max-age=86400"}


@cache
def body_of(name: str) -> tuple[bytes, str] | None:
    """Give a file that pages are made with.

    Parameters
    ----------
    name : str
        Its name.

    Returns
    -------
    tuple or None
        Its bytes and its kind; None if there is none of that name.
    """
    if name in OWN:
        return files("thawline.web").joinpath("static", name).read_bytes(), OWN[name]
    if name in SHARED:
        text = "\n".join(
            environment().get_template(part).render(
                palette=palette().values(), left=LEFT, right=RIGHT
            )
            for part in SHARED[name]
        )  # fmt: skip
        return text.encode(), "text/css" if name.endswith(".css") else "text/javascript"
    if name == BOKEH:
        from bokeh.settings import settings

        return (Path(settings.bokehjs_path()) / "js" / BOKEH).read_bytes(), "text/javascript"
    return None


def routes() -> APIRouter:
    """Lay the routes.

    Returns
    -------
    APIRouter
        ``/static/VERSION/NAME``.
    """
    router = APIRouter()

    @router.get(f"/static/{__version__}/{{name}}")
    def static(name: str) -> Response:
        found = body_of(name)
        if found is None:
            return PlainTextResponse("There is no such file.\n", 404)
        body, kind = found
        return Response(body, media_type=f"{kind}; charset=utf-8", headers=KEEP)

    return router
