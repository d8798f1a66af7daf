"""What the charts of a recording ask for: the charts themselves, and samples when zoomed."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query
from starlette.background import BackgroundTask
from starlette.requests import Request
from starlette.responses import Response

from thawline.web.charts import charts_in
from thawline.web.desk import Desk, choice_of
from thawline.web.samples import samples_of

#: Documents of charts that are kept [1].
KEPT = 8


def routes(desk: Desk) -> APIRouter:
    """Lay the routes.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.

    Returns
    -------
    APIRouter
        ``/recordings/ID/charts`` and ``/recordings/ID/samples``.
    """
    router = APIRouter()

    @router.get("/recordings/{name}/charts")
    def charts(request: Request, name: str) -> Response:
        held = desk.shelf.take(name)
        recording = held.explained.recording
        key = (recording.id, recording.duration_s, choice_of(request).key)
        if key not in desk.kept.setdefault("charts", {}):
            if len(desk.kept["charts"]) >= KEPT:
                desk.kept["charts"].clear()
            desk.kept["charts"][key] = charts_in(request, held)
        paths = [line.path for chart in held.charts for line in chart.series]
        # while the page draws, the lines are made ready for the first zoom
        later = BackgroundTask(lambda: [desk.lines.get(held, path) for path in paths])
        body = desk.kept["charts"][key]
        return Response(body, media_type="application/json", background=later)

    @router.get("/recordings/{name}/samples")
    def samples(
        request: Request,
        name: str,
        path: Annotated[list[str], Query()],
        from_s: Annotated[float, Query(alias="from")],
        to_s: Annotated[float, Query(alias="to")],
        width: int = 1024,
    ) -> Response:
        held = desk.shelf.take(name)
        body = samples_of(desk.lines, held, path, from_s, to_s, width, choice_of(request))
        return Response(body, media_type="application/octet-stream")

    return router
