"""What the cursor asks at a moment: values, why not more, and what a forecast would have said."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import numpy as np
from fastapi import APIRouter
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from thawline.errors import RequestError
from thawline.library.listing import find
from thawline.recording.recording import Channel
from thawline.report.choice import Choice
from thawline.report.forecast_page import ahead_table
from thawline.report.lanes import lane_rows
from thawline.report.numbers import number, quantity
from thawline.story.story import WhyNot
from thawline.story.why_not import WHATS, why_not_from
from thawline.web.ahead import on_grid
from thawline.web.desk import Desk, choice_of, words_in
from thawline.web.expected import expected_of
from thawline.web.held import Held
from thawline.web.samples import FLOW


@dataclass(frozen=True, slots=True)
class Instant:
    """A moment of a recording.

    Parameters
    ----------
    t_s : float
        When [s].
    clock, minutes : str
        The same, by the clock and since plugging in.
    lanes : tuple of str
        What the car was doing.
    answers : tuple of tuple
        What it is about, and what keeps it from being more.
    """

    t_s: float
    clock: str
    minutes: str
    lanes: tuple[str, ...]
    answers: tuple[tuple[str, WhyNot], ...]


def answers_at(held: Held, t_s: float) -> Instant:
    """Ask why not more at a moment.

    Parameters
    ----------
    held : Held
        The explained recording.
    t_s : float
        The moment, since its start [s].

    Returns
    -------
    Instant
        What was going on, and the answers.

    Raises
    ------
    RequestError
        If the moment lies outside the recording.
    """
    within(held, t_s)
    each, moments = held.explained, held.moments
    answers = tuple(
        (what.replace("-", " "), why_not_from(held.acts, each.story, what, t_s, each.known))
        for what in WHATS
    )
    busy = {span.lane for span in each.story.spans if span.from_s <= t_s <= span.to_s}
    lanes = tuple(row["title"] for row in lane_rows() if row["lane"] in busy)
    minutes = number(moments.minutes(t_s), 1)
    return Instant(t_s, moments.clock(t_s), minutes, lanes, answers)


def within(held: Held, t_s: float) -> None:
    """Make sure that a moment lies within a recording.

    Parameters
    ----------
    held : Held
        The explained recording.
    t_s : float
        The moment, since its start [s].

    Raises
    ------
    RequestError
        If it does not.
    """
    duration_s = held.explained.recording.duration_s
    if not 0.0 <= t_s <= duration_s:
        raise RequestError(
            f"the instant (={t_s:g} s) must be in [0, {duration_s:g}] s",
            cure="choose one within the recording",
        )


def values_at(held: Held, t_s: float, choice: Choice) -> dict[str, str]:
    """Read all lines of the charts at a moment.

    Parameters
    ----------
    held : Held
        The explained recording.
    t_s : float
        The moment [s].
    choice : Choice
        Units of the values.

    Returns
    -------
    dict of str to str
        Written values by the line's path; a dash where the line is silent.
    """
    found = {}
    for chart in held.charts:
        for line in chart.series:
            value = _value(held, line.path, t_s)
            if value is None:
                found[line.path] = "–"
                continue
            there = float(choice.values(np.array([value]), line.unit)[0])
            found[line.path] = quantity(there, choice.unit(line.unit))
    return found


def _value(held: Held, path: str, t_s: float) -> float | None:
    if path.startswith(FLOW):
        flows = held.explained.flows
        at = int(np.searchsorted(flows.t, t_s, "right")) - 1
        value = float(flows.flows[path.removeprefix(FLOW)].kW[at]) if at >= 0 else np.nan
        return value if np.isfinite(value) else None
    channel: Channel = held.explained.recording.channels[path]
    at = int(np.searchsorted(channel.t, t_s, "right")) - 1
    if at < 0 or t_s - channel.t[at] > channel.stale_after_s:
        return None
    return float(channel.values[at])


def routes(desk: Desk) -> APIRouter:
    """Lay the routes.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.

    Returns
    -------
    APIRouter
        ``/recordings/ID/at`` and ``/recordings/ID/forecast``.
    """
    router = APIRouter()

    @router.get("/recordings/{name}/at")
    def at(request: Request, name: str, t: float) -> Response:
        held = desk.shelf.take(name)
        instant = answers_at(held, t)
        told: dict[str, Any] = {
            "t_s": t,
            "clock": instant.clock,
            "minutes": instant.minutes,
            "html": words_in(request, "answers.html", instant=instant),
            "is_whole": held.is_whole,
            "values": values_at(held, t, choice_of(request)),
            "limits": {what: answer.limit for what, answer in instant.answers},
        }
        return JSONResponse(told)

    @router.get("/recordings/{name}/forecast")
    def forecast(request: Request, name: str, t: float) -> Response:
        if desk.shelf.is_growing(name):
            raise RequestError(
                "this recording still grows", cure="its live page says what comes next"
            )
        whole = find(desk.library, name)
        held = desk.shelf.take(whole)
        within(held, t)
        duration_s = held.explained.recording.duration_s
        at_s = on_grid(t, duration_s)
        job = desk.ahead.ask(whole, at_s)
        told: dict[str, Any] = {"state": job.state, "at_s": at_s, "error": job.error}
        if job.state == "done":
            clock = held.moments.clock(at_s)
            table = ahead_table(job.result)
            told["html"] = words_in(
                request, "forecast_at.html", found=job.result, table=table, clock=clock
            )
            told["strip"] = words_in(
                request,
                "expected.html",
                expected=expected_of(job.result, held),
                made=100.0 * at_s / max(duration_s, 1.0),
                clock=clock,
            )
        return JSONResponse(told)

    return router
