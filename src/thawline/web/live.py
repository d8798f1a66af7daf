"""The page of recordings that still grow: what is going on, and what comes next, when."""

from __future__ import annotations

import threading
from dataclasses import dataclass
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Form
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from thawline.errors import RequestError
from thawline.forecast.forecast import Forecast
from thawline.live.events import write_note
from thawline.live.heartbeat import heartbeat
from thawline.live.running import find_session, leftover, recording_of, running
from thawline.live.session import Session
from thawline.report.forecast_page import name_of
from thawline.report.moments import Moments, duration_text
from thawline.report.strip import strip_of
from thawline.web.desk import Desk, show, words_in
from thawline.web.growing import Growing, Grown
from thawline.web.instant import answers_at

#: What a person often does, ready at a key press.
OFTEN = ("Started charging", "Stopped charging", "Turned on the cabin", "Turned off the cabin",
         "Plugged in", "Unplugged")  # fmt: skip
#: Longest note, in characters [1].
LONGEST_NOTE = 1000


@dataclass(frozen=True, slots=True)
class Wait:
    """A turning point to come, counted down.

    Parameters
    ----------
    title : str
        Which one.
    left : str
        How long it takes, most likely.
    band : str
        From when to when, with a chance of eight in ten.
    clock : str
        The most likely time by the clock.
    never : str
        The chance that it never comes; empty where that is small.
    """

    title: str
    left: str
    band: str
    clock: str
    never: str


def waits_of(found: Forecast, now_s: float, moments: Moments) -> list[Wait]:
    """Count down to the turning points of a forecast.

    Parameters
    ----------
    found : Forecast
        The forecast.
    now_s : float
        Now, by the recording's clock [s].
    moments : Moments
        The recording's clock.

    Returns
    -------
    list of Wait
        Those that are still to come.
    """

    def left(t_s: float | None) -> str:
        if t_s is None or t_s != t_s:
            return "later"
        return "any moment" if t_s <= now_s else duration_text(t_s - now_s)

    return [
        Wait(
            name_of(point.kind, point.level_kW).capitalize(),
            left(point.p50_s),
            f"{left(point.p10_s)} to {left(point.p90_s)}",
            "" if point.p50_s is None or not moments.is_dated else moments.clock(point.p50_s)[:5],
            f"{point.never:.0%}" if point.never >= 0.01 else "",
        )
        for point in found.turning_points
        if not point.is_past
    ]


def routes(desk: Desk) -> APIRouter:
    """Lay the routes.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.

    Returns
    -------
    APIRouter
        ``/live``, ``/live/SESSION``, ``/live/SESSION/now`` and ``/live/SESSION/notes``.
    """
    router = APIRouter()
    growing: dict[str, Growing] = desk.kept.setdefault("growing", {})
    lock = threading.Lock()

    def follow(session: Session) -> Growing:
        with lock:
            found = growing.get(session.id)
            if found is None or not found.is_alive:
                found = growing[session.id] = Growing(
                    session, desk.library, desk.shelf.show_growing
                )
            return found

    @router.get("/live")
    def live(request: Request) -> Response:
        return show(
            request, "live_choice.html", sessions=running(desk.library),
            broken=leftover(desk.library),
        )  # fmt: skip

    @router.get("/live/{name}")
    def one(request: Request, name: str) -> Response:
        became = recording_of(desk.library, name)
        if became is not None:
            return RedirectResponse(f"/recordings/{quote(became, safe='')}", 303)
        session = find_session(desk.library, name)
        follow(session).look()
        return show(request, "live.html", session=session, often=OFTEN, problem="", said="")

    @router.get("/live/{name}/now")
    def now(request: Request, name: str) -> Response:
        became = recording_of(desk.library, name)
        if became is not None:
            return JSONResponse({"became": f"/recordings/{quote(became, safe='')}"})
        session = find_session(desk.library, name)
        watched = follow(session)
        return JSONResponse(_told(request, session, watched, watched.look()))

    @router.post("/live/{name}/notes")
    def note(request: Request, name: str, text: Annotated[str, Form()] = "") -> Response:
        session = find_session(desk.library, name)
        if not text.strip() or len(text) > LONGEST_NOTE:
            raise RequestError(
                f"the note has {len(text.strip())} characters",
                cure=f"write between 1 and {LONGEST_NOTE}",
            )
        write_note(session, text.strip())
        if "application/json" in request.headers.get("accept", ""):
            return JSONResponse({"noted": text.strip()})
        return RedirectResponse(f"/live/{quote(session.id, safe='')}", 303)

    return router


def _told(request: Request, session: Session, watched: Growing, grown: Grown) -> dict[str, Any]:
    beat, now_s = heartbeat(session), watched.now_s()
    told: dict[str, Any] = {
        "state": "starting" if beat is None else beat.state,
        "beat": "" if beat is None else words_in(request, "live_beat.html", beat=beat),
        "problem": grown.problem,
        "html": "",
    }
    held = grown.held
    if held is None:
        return told
    end_s = held.explained.recording.duration_s
    now_s = end_s if now_s is None else max(now_s, end_s)
    found = grown.forecast
    told["t_s"] = end_s
    told["html"] = words_in(
        request,
        "live_now.html",
        strip=strip_of(held.explained, held.moments),
        instant=answers_at(held, end_s),
        clock=held.moments.clock(now_s),
        forecast=found,
        made="" if found is None else held.moments.clock(found.made_at_s),
        waits=[] if found is None else waits_of(found, now_s, held.moments),
    )
    notes = [
        ("" if at_s is None else held.moments.clock(at_s), words)
        for at_s, words in held.explained.notes
    ]
    told["so_far"] = words_in(
        request, "live_so_far.html", session=session, prose=held.prose, notes=notes
    )
    return told
