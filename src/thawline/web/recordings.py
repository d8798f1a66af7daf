"""The page of all recordings: find one, and see at a glance what each morning was like."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime, timedelta

from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import HTMLResponse

from thawline.errors import RequestError
from thawline.library.listing import Entry, find, listing
from thawline.recording.dated import has_date
from thawline.report.moments import Moments, duration_text
from thawline.web.desk import Desk, show, words_in
from thawline.web.held import Glance

#: Recordings on one page [1].
ON_PAGE = 40


@dataclass(frozen=True, slots=True)
class Row:
    """A recording in the list.

    Parameters
    ----------
    entry : Entry
        What the library tells of it.
    day, clock, length : str
        When it began, and how long it is.
    glance : Glance or None
        What it was like; None where nobody looked yet.
    """

    entry: Entry
    day: str
    clock: str
    length: str
    glance: Glance | None


def row_of(desk: Desk, entry: Entry) -> Row:
    """Prepare a recording for the list.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.
    entry : Entry
        What the library tells of it.

    Returns
    -------
    Row
        The row.
    """
    moments = Moments(entry.starts_at, 0.0, False)
    clock = f"{moments.clock(0.0)[:5]} UTC" if has_date(entry.starts_at) else ""
    return Row(
        entry, moments.date, clock, duration_text(entry.duration_s), desk.shelf.seen(entry.id)
    )


def day_of(text: str, *, is_end: bool = False) -> float | None:
    """Read a day that a person gave.

    Parameters
    ----------
    text : str
        Such as ``2026-01-17``; empty for none.
    is_end : bool
        Whether its end is meant.

    Returns
    -------
    float or None
        Since 1970-01-01 UTC [s].

    Raises
    ------
    RequestError
        If it is no day.
    """
    if not text:
        return None
    try:
        day = datetime.strptime(text, "%Y-%m-%d").replace(tzinfo=UTC)
    except ValueError as error:
        raise RequestError(f"{text!r} is no day", cure="write it as 2026-01-17") from error
    return (day + timedelta(days=1 if is_end else 0)).timestamp()


def routes(desk: Desk) -> APIRouter:
    """Lay the routes.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.

    Returns
    -------
    APIRouter
        ``/`` and ``/recordings/ID/glance``.
    """
    router = APIRouter()

    @router.get("/")
    def recordings(
        request: Request, text: str = "", vehicle: str = "", since: str = "", until: str = "",
        page: int = 1,
    ) -> HTMLResponse:  # fmt: skip
        everything = listing(desk.library)
        found = listing(
            desk.library, vehicle or None, day_of(since), day_of(until, is_end=True), text
        )[::-1]
        pages = max(-(-len(found) // ON_PAGE), 1)
        page = min(max(page, 1), pages)
        shown = found[(page - 1) * ON_PAGE : page * ON_PAGE]
        return show(
            request,
            "recordings.html",
            rows=[row_of(desk, entry) for entry in shown],
            longest_s=max((entry.duration_s for entry in shown), default=1.0),
            vehicles=sorted({entry.vehicle for entry in everything}, key=str.casefold),
            asked={"text": text, "vehicle": vehicle, "since": since, "until": until},
            found=len(found),
            total=len(everything),
            page=page,
            pages=pages,
        )

    @router.get("/recordings/{name}/glance")
    def glance(request: Request, name: str, longest_s: float) -> HTMLResponse:
        seen = desk.shelf.glance(find(desk.library, name))
        return HTMLResponse(words_in(request, "glance.html", glance=seen, longest_s=longest_s))

    return router
