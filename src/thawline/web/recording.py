"""The page of one recording: its story first, then its charts, accounts, findings and notes."""

from __future__ import annotations

import concurrent.futures
from pathlib import PurePath
from typing import Annotated
from urllib.parse import quote

from fastapi import APIRouter, Form
from starlette.requests import Request
from starlette.responses import HTMLResponse, RedirectResponse, Response

from thawline.errors import RequestError
from thawline.library.listing import find
from thawline.library.notes import add_note
from thawline.live.running import recording_of
from thawline.report.instants import SETTLED_S
from thawline.report.page import page as page_alone
from thawline.report.page import told_of
from thawline.report.strip import strip_of
from thawline.web.desk import Desk, choice_of, show
from thawline.web.held import Held
from thawline.web.instant import answers_at

#: A page waits so long for its recording to be explained before it says that it waits [s].
PATIENCE_S = 2.0
#: Longest note, in characters [1].
LONGEST_NOTE = 4000


def first_moment(held: Held) -> float:
    """Choose the moment at which the cursor stands first.

    Parameters
    ----------
    held : Held
        The explained recording.

    Returns
    -------
    float
        Two minutes after plugging in, within the recording [s].
    """
    return min(held.moments.zero_s + SETTLED_S, held.explained.recording.duration_s)


def show_recording(request: Request, held: Held, status: int = 200, **more: object) -> HTMLResponse:
    """Set the page of an explained recording.

    Parameters
    ----------
    request : Request
        The request.
    held : Held
        The explained recording.
    status : int
        The answer's status code [1].
    **more : object
        What else the page says, such as an error.

    Returns
    -------
    HTMLResponse
        The page.
    """
    at_s = first_moment(held)
    words = told_of(held.explained, held.prose, held.moments, choice_of(request))
    return show(
        request,
        "recording.html",
        status,
        strip=strip_of(held.explained, held.moments),
        at_s=at_s,
        instant=answers_at(held, at_s),
        is_whole=held.is_whole,
        **{"problem": "", "said": "", "live": "", **words, **more},
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
        ``/recordings/ID``, its notes, and the report that stands alone.
    """
    router = APIRouter()

    @router.get("/recordings/{name}")
    def recording(request: Request, name: str) -> Response:
        if desk.shelf.is_growing(name):
            became = recording_of(desk.library, name)
            if became is None:
                return show_recording(request, desk.shelf.take(name), live=name)
            return RedirectResponse(f"/recordings/{quote(became, safe='')}", 307)
        whole = find(desk.library, name)
        if whole != name:
            return RedirectResponse(f"/recordings/{quote(whole, safe='')}", 307)
        try:
            held = desk.shelf.ask(whole).result(PATIENCE_S)
        except concurrent.futures.TimeoutError:
            return show(
                request, "waiting.html", what=f"Reading {whole}", then=str(request.url.path)
            )
        return show_recording(request, desk.shelf.noted(held))

    @router.post("/recordings/{name}/notes")
    def note(
        request: Request, name: str, text: Annotated[str, Form()] = "",
        at: Annotated[str, Form()] = "",
    ) -> Response:  # fmt: skip
        whole = find(desk.library, name)
        try:
            if len(text) > LONGEST_NOTE:
                raise RequestError(
                    f"the note has {len(text)} characters",
                    cure=f"keep it below {LONGEST_NOTE}",
                )
            add_note(desk.library, whole, _seconds(at), text)
        except RequestError as error:
            return show_recording(
                request, desk.shelf.take(whole), 400, problem=str(error), said=text
            )
        return RedirectResponse(f"/recordings/{quote(whole, safe='')}#notes", 303)

    @router.get("/recordings/{name}/report")
    def report(name: str) -> Response:
        held = desk.shelf.take(name)
        file = PurePath(f"{held.explained.recording.id}.html").name
        return Response(
            page_alone(held.explained),
            media_type="text/html",
            headers={"Content-Disposition": f"attachment; filename*=UTF-8''{quote(file, safe='')}"},
        )

    return router


def _seconds(text: str) -> float | None:
    if not text.strip():
        return None
    try:
        return float(text)
    except ValueError as error:
        raise RequestError(
            f"the moment {text!r} is no number", cure="give seconds of the recording, or nothing"
        ) from error
