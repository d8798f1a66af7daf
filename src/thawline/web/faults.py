"""What a page says when something went wrong: the same words as the command."""

from __future__ import annotations

import sys
import traceback

from fastapi import FastAPI
from fastapi.exceptions import RequestValidationError
from starlette.exceptions import HTTPException
from starlette.requests import Request
from starlette.responses import JSONResponse, Response

from thawline.errors import LibraryError, RequestError, ThawlineError
from thawline.web.desk import show

#: Paths whose answers are read by scripts, not by people.
FOR_SCRIPTS = ("/at", "/samples", "/charts", "/forecast", ".json")


def say(request: Request, status: int, words: str) -> Response:
    """Say what went wrong.

    Parameters
    ----------
    request : Request
        The request.
    status : int
        The answer's status code [1].
    words : str
        What went wrong, and the cure.

    Returns
    -------
    Response
        A page, or JSON for scripts.
    """
    wants_json = "application/json" in request.headers.get("accept", "")
    if wants_json or request.url.path.endswith(FOR_SCRIPTS):
        return JSONResponse({"problem": words}, status)
    return show(request, "fault.html", status, words=words)


def _status(error: ThawlineError) -> int:
    if isinstance(error, LibraryError):
        return 503
    text = str(error)
    is_missing = isinstance(error, RequestError) and text.startswith(("there is no", "this work"))
    return 404 if is_missing else 400


def add_faults(app: FastAPI) -> None:
    """Let an application say in plain words what went wrong.

    Parameters
    ----------
    app : FastAPI
        The application.
    """

    @app.exception_handler(ThawlineError)
    def known(request: Request, error: ThawlineError) -> Response:
        return say(request, _status(error), str(error))

    @app.exception_handler(RequestValidationError)
    def odd(request: Request, error: RequestValidationError) -> Response:
        told = "; ".join(f"{each['loc'][-1]}: {each['msg']}" for each in error.errors())
        return say(request, 400, f"The address makes no sense here: {told}.")

    @app.exception_handler(HTTPException)
    def plain(request: Request, error: HTTPException) -> Response:
        words = "There is no such page." if error.status_code == 404 else str(error.detail)
        return say(request, error.status_code, words)

    @app.exception_handler(Exception)
    def ours(request: Request, error: Exception) -> Response:
        traceback.print_exception(error, file=sys.stderr)
        words = "Our fault. The window in which the pages were started says more."
        return say(request, 500, words)
