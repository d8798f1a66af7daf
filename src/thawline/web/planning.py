"""The page on which a plan is asked for: what to do before leaving, at least cost."""

from __future__ import annotations

import shutil
import time
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, tzinfo
from pathlib import Path
from urllib.parse import quote

from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import RedirectResponse, Response

from thawline.errors import InputError, RequestError, ThawlineError, did_you_mean
from thawline.library.listing import listing
from thawline.plan.asked import Asked, Wishes
from thawline.plan.by_time import ByTime, constant
from thawline.plan.plan import Plan
from thawline.plan.reading import read_by_time, read_moment, read_supply
from thawline.plan.settings import setting
from thawline.quantities.units import converter
from thawline.report.choice import Choice, heading
from thawline.report.plan_charts import draw_plan
from thawline.report.plan_page import told_of_plan
from thawline.report.templating import embedded_data
from thawline.trip.traces import SHIPPED
from thawline.web.charts import without_eval
from thawline.web.desk import Desk, choice_of, in_page, show
from thawline.web.uploads import folder_for, without_folder
from thawline.web.work import make_plan

#: Longest table by time, in characters [1].
LONGEST_TABLE = 60_000
#: Fields that a form may have [1].
MOST_FIELDS = 60


@dataclass(frozen=True, slots=True)
class Field:
    """One field of the form.

    Parameters
    ----------
    name, title, hint : str
        What it is called, and what may stand in it.
    is_table : bool
        Whether a table by time may stand in it.
    """

    name: str
    title: str
    hint: str = ""
    is_table: bool = False


#: Fields for numbers, in the order of the form; temperatures name their unit.
WISHES = (
    Field("charge", "Charge, %", "as it comes"),
    Field("regeneration", "Regeneration, kW", "as it comes"),
    Field("cabin", "Cabin, °C", "as it comes"),
)
NOW = (
    Field("charge_now", "Charge now, %", "as the last recording ended"),
    Field("pack", "Pack now, °C", "as cold as outside"),
    Field("garage", "Also from a garage at, °C", "no garage"),
)
#: Numbers that are temperatures of their own.
DEGREES = ("cabin", "pack", "garage")


def routes(desk: Desk) -> APIRouter:
    """Lay the routes.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.

    Returns
    -------
    APIRouter
        ``/plan`` and ``/plan/JOB``.
    """
    router = APIRouter()

    def form(
        request: Request, typed: Mapping[str, str], status: int = 200, problem: str = ""
    ) -> Response:
        vehicles = sorted({entry.vehicle for entry in listing(desk.library)}, key=str.casefold)
        return show(
            request, "plan_form.html", status, vehicles=vehicles, typed=typed, problem=problem,
            wishes=_in(WISHES, choice_of(request)), now=_in(NOW, choice_of(request)),
            trips=SHIPPED,
        )  # fmt: skip

    @router.get("/plan")
    def plan_form(request: Request) -> Response:
        return form(request, dict(request.query_params))

    @router.post("/plan")
    async def ask(request: Request) -> Response:
        async with request.form(max_files=0, max_fields=MOST_FIELDS) as sent:
            typed = {name: value for name, value in sent.items() if isinstance(value, str)}
        try:
            job = await run_in_threadpool(_begin, desk, typed, choice_of(request))
        except ThawlineError as error:
            return await run_in_threadpool(form, request, typed, 400, str(error))
        return RedirectResponse(f"/plan/{quote(job, safe='')}", 303)

    @router.get("/plan/{name}")
    def plan(request: Request, name: str) -> Response:
        job = desk.jobs.get(name)
        if job is None:
            raise RequestError("this work is not known, or was long ago", cure="ask for it again")
        if not job.is_over or not isinstance(job.result, Plan):
            status = 400 if job.is_over else 200
            return show(request, "work.html", status, job=job, then=str(request.url.path))
        plots, figures = draw_plan(job.result)
        for figure in figures.values():
            without_eval(figure)
        roots, document = embedded_data(figures)
        return show(request, "plan_result.html", plots=plots, roots=roots, data=in_page(document),
                    **told_of_plan(job.result))  # fmt: skip

    return router


def _in(fields: tuple[Field, ...], choice: Choice) -> list[Field]:
    return [Field(each.name, heading(each.title, choice), each.hint) for each in fields]


def _begin(desk: Desk, typed: Mapping[str, str], choice: Choice) -> str:
    known = sorted({entry.vehicle for entry in listing(desk.library)})
    vehicle = typed.get("vehicle", "")
    if vehicle not in known:  # only names: no path that somebody typed is ever opened
        raise RequestError(
            f"the vehicle {vehicle!r} is not in the library",
            cure=did_you_mean(vehicle, known) or "choose one of the list",
        )
    asked = asked_of(desk, typed, choice)
    trip = typed.get("trip", "")
    if trip and trip not in SHIPPED:
        raise RequestError(f"the trip {trip!r} is not known", cure="choose one of the list")
    return desk.jobs.start(
        f"Planning for {vehicle}", make_plan, desk.library.folder, vehicle, asked, trip
    )


def asked_of(desk: Desk, typed: Mapping[str, str], choice: Choice) -> Asked:
    """Read what a person typed into the form.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.
    typed : mapping of str to str
        The fields.
    choice : Choice
        Units in which temperatures were typed.

    Returns
    -------
    Asked
        What the plan is made for.

    Raises
    ------
    InputError
        If something is missing or makes no sense; the message names the field.
    """
    zone = datetime.now().astimezone().tzinfo
    assert zone is not None
    now_s = time.time() if not typed.get("now") else read_moment(typed["now"], 0.0, zone, "now")
    leaves = [text for text in typed.get("leave", "").replace(",", " ").split() if text]
    if not leaves:
        raise RequestError("no time of leaving is given", cure="for instance 07:45")
    numbers = {each.name: _number(typed, each, choice) for each in (*WISHES, *NOW)}
    chance = _number(typed, Field("chance", "Chance, %"), choice)
    humidity = _number(typed, Field("humidity", "Humidity, %"), choice)
    wishes = Wishes(
        tuple(sorted(read_moment(text, now_s, zone, "leave") for text in leaves)),
        numbers["charge"],
        numbers["regeneration"],
        numbers["cabin"],
        bool(typed.get("clear_glass")),
        setting("humidity_pct") if humidity is None else humidity,
    )
    tables = folder_for(desk.library)
    try:
        found = {
            name: _by_time(typed.get(name, ""), name, tables, now_s, zone, choice)
            for name in ("outside", "tariff", "carbon")
        }
    except InputError as error:
        raise type(error)(without_folder(str(error), tables)) from error
    finally:
        shutil.rmtree(tables, ignore_errors=True)
    if found["outside"] is None:
        raise RequestError("the air outside is not given", cure="for instance −8")
    return Asked(
        now_s=now_s,
        wishes=wishes,
        supply=read_supply(
            typed.get("supply", "").strip(),
            _number(typed, Field("breaker", "Breaker, A"), choice),
        ),
        outside=found["outside"],
        price=found["tariff"] or constant(0.0),
        currency=typed.get("currency", "").strip()[:12],
        carbon=found["carbon"],
        charge_now_pct=numbers["charge_now"],
        pack_degC=numbers["pack"],
        chance=0.9 if chance is None else chance / 100.0,
        garage_degC=numbers["garage"],
        zone=zone,
    )


def _number(typed: Mapping[str, str], field: Field, choice: Choice) -> float | None:
    text = typed.get(field.name, "").strip().replace("−", "-").replace(",", ".")
    if not text:
        return None
    try:
        value = float(text)
    except ValueError as error:
        raise RequestError(
            f"{heading(field.title, choice)} (={text!r}) is no number", cure="correct it"
        ) from error
    if field.name in DEGREES:
        factor, offset = converter(choice.temperature, "degC")
        return value * factor + offset
    return value


def _by_time(
    text: str, name: str, folder: Path, now_s: float, zone: tzinfo, choice: Choice
) -> ByTime | None:
    """Read a number, or rows of time and value; never a path."""
    text = text.strip().replace("−", "-")
    if not text:
        return None
    is_line = name == "outside"
    try:
        value = float(text.replace(",", "."))
    except ValueError:
        if len(text) > LONGEST_TABLE:
            raise RequestError(f"the table of {name} is too long") from None
        table = folder / f"{name}.csv"
        table.write_text(text, "utf-8")
        return read_by_time(str(table), name, now_s, zone, is_line=is_line)[0]
    if is_line:
        factor, offset = converter(choice.temperature, "degC")
        value = value * factor + offset
    return read_by_time(repr(value), name, now_s, zone, is_line=is_line)[0]
