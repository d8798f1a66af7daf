"""The page of what a vehicle's cells allow, learned from all of its recordings."""

from __future__ import annotations

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from thawline.charge.learned import Learned
from thawline.cli.learn import names_of
from thawline.library.listing import listing
from thawline.report.learned_page import told_of_learned
from thawline.report.plots import draw
from thawline.report.templating import embedded_data
from thawline.web.desk import Desk, choice_of, in_page, show
from thawline.web.jobs import Job
from thawline.web.work import learn_vehicle

NO_MARGIN = (
    "This page leaves it out, as it takes minutes to compute: `thawline learn VEHICLE --html "
    "page.html` draws it, if the extra “cell” is installed."
)


def routes(desk: Desk) -> APIRouter:
    """Lay the routes.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.

    Returns
    -------
    APIRouter
        ``/limits``.
    """
    router = APIRouter()
    asked: dict[tuple[str, ...], str] = desk.kept.setdefault("limits", {})

    @router.get("/limits")
    def limits(request: Request, vehicle: str = "") -> Response:
        counts: dict[str, int] = {}
        for entry in listing(desk.library):
            counts[entry.vehicle] = counts.get(entry.vehicle, 0) + 1
        if not vehicle:
            return show(request, "limits_choice.html", counts=counts)
        names = tuple(names_of(desk.library, vehicle))
        job = desk.jobs.get(asked.get(names, ""))
        if job is None or (job.state == "failed" and request.query_params.get("again")):
            title = f"Learning from {len(names)} recordings of {vehicle}"
            asked[names] = desk.jobs.start(title, learn_vehicle, desk.library.folder, names)
            return RedirectResponse(f"/limits?{request.query_params}", 303)
        if not job.is_over or not isinstance(job.result, Learned):
            status = 400 if job.is_over else 200
            here = f"{request.url.path}?{request.url.query}"
            return show(request, "work.html", status, job=job, then=here)
        return _page(request, job, counts, vehicle)

    return router


def _page(request: Request, job: Job, counts: dict[str, int], vehicle: str) -> Response:
    words, plots = told_of_learned(job.result, no_margin=NO_MARGIN, choice=choice_of(request))
    roots, document = embedded_data({plot.key: draw(plot) for plot in plots})
    return show(request, "limits.html", counts=counts, chosen=vehicle, roots=roots,
                data=in_page(document), **words)  # fmt: skip
