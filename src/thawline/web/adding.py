"""The page on which logs are added, and the pages of long work that is under way."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

from fastapi import APIRouter
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse, RedirectResponse, Response

from thawline.cli.speak import parse_utc
from thawline.errors import InputError, RequestError, ThawlineError
from thawline.web.desk import Desk, show
from thawline.web.jobs import Job
from thawline.web.known import files_of, keep, known_vehicles
from thawline.web.uploads import Received, TooLargeError, receive, without_folder
from thawline.web.work import add_logs


def routes(desk: Desk) -> APIRouter:
    """Lay the routes.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.

    Returns
    -------
    APIRouter
        ``/add`` and ``/jobs/JOB``.
    """
    router = APIRouter()

    def form(request: Request, status: int = 200, problem: str = "") -> Response:
        if _wants_json(request):
            return JSONResponse({"problem": problem}, status)
        return show(
            request, "add.html", status, vehicles=known_vehicles(desk.library), problem=problem,
            limit=desk.settings.upload_limit_bytes,
        )  # fmt: skip

    @router.get("/add")
    def add_form(request: Request) -> Response:
        return form(request)

    @router.post("/add")
    async def add(request: Request) -> Response:
        try:
            received = await receive(request, desk.library, desk.settings.upload_limit_bytes)
            job = await run_in_threadpool(begin, desk, received)
        except TooLargeError as error:
            return await run_in_threadpool(form, request, 413, str(error))
        except ThawlineError as error:
            return await run_in_threadpool(form, request, 400, str(error))
        if _wants_json(request):
            return JSONResponse({"work": job})
        return RedirectResponse(f"/jobs/{quote(job, safe='')}", 303)

    @router.get("/jobs/{name}")
    def work(request: Request, name: str) -> Response:
        job = _known(desk, name)
        if job.state == "done" and not _wants_json(request):
            return RedirectResponse(there_after(job), 303)
        if _wants_json(request):
            told = {"state": job.state, "done": job.done, "total": job.total, "error": job.error,
                    "title": job.title}  # fmt: skip
            return JSONResponse(told | ({"then": there_after(job)} if job.is_over else {}))
        status = 400 if job.state == "failed" else 200
        return show(request, "work.html", status, job=job, then=str(request.url.path))

    return router


def begin(desk: Desk, received: Received) -> str:
    """Begin to add what a form brought.

    Parameters
    ----------
    desk : Desk
        What pages have at hand.
    received : Received
        The form; its folder is removed once all is done, or refused.

    Returns
    -------
    str
        Name of the work.

    Raises
    ------
    InputError
        If something is missing or wrong; nothing is kept.
    """
    try:
        logs = received.files.get("logs", [])
        if not logs:
            raise RequestError("no log is given", cure="choose at least one file")
        starts_at = parse_utc(received.fields.get("starts_at", "").strip() or None)
        vehicle_file, databases = _vehicle(desk, received)
    except InputError as error:
        shutil.rmtree(received.folder, ignore_errors=True)
        raise type(error)(without_folder(str(error), received.folder)) from error
    groups = [logs] if received.fields.get("together") else [[log] for log in logs]
    title = f"Adding {logs[0].name}" + (f" and {len(logs) - 1} more" if len(logs) > 1 else "")
    return desk.jobs.start(
        title, add_logs, desk.library.folder, groups, databases, vehicle_file, starts_at,
        bool(received.fields.get("keep_all")), received.folder,
        finally_do=_after(desk, received, vehicle_file, databases),
    )  # fmt: skip


def _vehicle(desk: Desk, received: Received) -> tuple[Path, list[Path]]:
    """Find the vehicle's files in a form, or among those that are kept."""
    given = received.files.get("vehicle", [])
    databases = received.files.get("databases", [])
    name = received.fields.get("known", "")
    if given:
        return given[0], databases
    if not name:
        raise RequestError(
            "no vehicle file is given",
            cure="choose a vehicle that is known already, or give the file that says which signal "
            "is which",
        )
    vehicle_file, kept = files_of(desk.library, name, received.folder)
    return vehicle_file, databases or list(kept)


def _after(
    desk: Desk, received: Received, vehicle_file: Path, databases: list[Path]
) -> Callable[[Job], None]:
    def clear(job: Job) -> None:
        try:
            is_new = vehicle_file.is_relative_to(received.folder) or any(
                database.is_relative_to(received.folder) for database in databases
            )
            if job.state == "done" and is_new:
                keep(desk.library, vehicle_file, databases)
        finally:
            shutil.rmtree(received.folder, ignore_errors=True)

    return clear


def there_after(job: Job) -> str:
    """Give the page to which finished work leads.

    Parameters
    ----------
    job : Job
        The work.

    Returns
    -------
    str
        Path of the recording if it made one, else of the list.
    """
    names = job.result if isinstance(job.result, list) else []
    return f"/recordings/{quote(names[0], safe='')}" if len(names) == 1 else "/"


def _wants_json(request: Request) -> bool:
    return "application/json" in request.headers.get("accept", "")


def _known(desk: Desk, name: str) -> Job:
    job = desk.jobs.get(name)
    if job is None:
        raise RequestError("this work is not known, or was long ago", cure="look at the recordings")
    return job
