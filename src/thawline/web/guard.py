"""Who may ask: host names, token, origin of what changes something; and headers of all answers."""

from __future__ import annotations

import hmac
import ipaddress
from collections.abc import Mapping
from http.cookies import CookieError, SimpleCookie
from urllib.parse import parse_qsl, quote, urlencode, urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.responses import PlainTextResponse, RedirectResponse, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from thawline.web.settings import Settings

COOKIE = "thawline-token"
#: Where uploads go, which bounds them itself; and bytes that any other form may have [byte].
UPLOADS, MOST_BODY = "/add", 1_000_000
#: What browsers call requests that pages of other sites begin.
OTHERS = ("cross-site", "same-site")
SAFE = ("GET", "HEAD", "OPTIONS")
#: Scripts and everything else come from here alone. Styles may stand in the page: the charting
#: library writes its own into each chart.
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self' 'unsafe-inline'; "
    "img-src 'self' data: blob:; font-src 'self' data:; connect-src 'self'; "
    "form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
)
HEADERS = {
    "Content-Security-Policy": POLICY,
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
}


class Guard:
    """Lets through what may ask, and refuses the rest in plain words.

    Parameters
    ----------
    app : ASGI application
        The pages.
    settings : Settings
        Who may ask.
    """

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app, self._settings = app, settings

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            if scope["type"] == "lifespan":
                await self._app(scope, receive, send)
            return

        async def sent(message: Message) -> None:
            if message["type"] == "http.response.start":
                headers = MutableHeaders(scope=message)
                for name, value in HEADERS.items():
                    headers.setdefault(name, value)
                headers.setdefault("Cache-Control", "no-store")
            await send(message)

        refused = _refusal(scope, self._settings)
        await (refused or self._app)(scope, receive, sent)


def name_of(host: str) -> str:
    """Take the name out of a Host header.

    Parameters
    ----------
    host : str
        Such as ``localhost:8737`` or ``[::1]:8737``.

    Returns
    -------
    str
        The name in lower case; empty where the header makes no sense.
    """
    try:
        return urlsplit(f"//{host}").hostname or ""
    except ValueError:
        return ""


def _is_known(name: str, settings: Settings) -> bool:
    if name in settings.names:
        return True
    if not settings.is_open:
        return False
    try:  # an address, unlike a name, cannot be turned against us by its owner
        ipaddress.ip_address(name)
    except ValueError:
        return False
    return True


def _refusal(scope: Scope, settings: Settings) -> Response | None:
    headers = Headers(scope=scope)
    if not _is_known(name_of(headers.get("host", "")), settings):
        return _no(421, "This name is not one of ours: ask for 127.0.0.1, or start with "
                   "--allow-host NAME.")  # fmt: skip
    if headers.get("sec-fetch-site") in OTHERS and headers.get("sec-fetch-mode") != "navigate":
        return _no(403, "Another site asked for this without showing it. Follow a link instead.")
    if scope["method"] not in SAFE and not _is_from_here(headers):
        return _no(403, "Another site, or no page at all, sent this. Nothing was changed. Use the "
                   "form on the page.")  # fmt: skip
    if scope["method"] not in SAFE and scope["path"] != UPLOADS:
        length = headers.get("content-length", "")
        if not length.isdigit() or int(length) > MOST_BODY:
            return _no(413, f"A form must have at most {MOST_BODY} bytes, and say how many.")
    if settings.is_open:
        return _token_asked(scope, headers, settings)
    return None


def _is_from_here(headers: Mapping[str, str]) -> bool:
    """Tell whether a page of ours sent a request that changes something."""
    origin = headers.get("origin")
    if origin is not None:
        return bool(origin != "null" and urlsplit(origin).netloc == headers.get("host"))
    return headers.get("sec-fetch-site") == "same-origin"


def _token_asked(scope: Scope, headers: Headers, settings: Settings) -> Response | None:
    if _is_token(_cookie(headers.get("cookie", "")), settings):
        return None
    query = parse_qsl(scope["query_string"].decode("latin-1"), keep_blank_values=True)
    given = dict(query).get("token", "")
    if scope["method"] == "GET" and _is_token(given, settings):
        left = urlencode([(name, value) for name, value in query if name != "token"])
        # one slash only: two would lead to another host
        there = "/" + quote(scope["path"].lstrip("/\\")) + (f"?{left}" if left else "")
        answer = RedirectResponse(there, 303)
        answer.set_cookie(COOKIE, given, httponly=True, samesite="lax")
        return answer
    return _no(401, "A token is needed: open the address that `thawline browse` printed.")


def _is_token(given: str, settings: Settings) -> bool:
    return hmac.compare_digest(given.encode(), settings.token.encode())


def _cookie(header: str) -> str:
    try:
        found = SimpleCookie(header).get(COOKIE)
    except CookieError:
        return ""
    return "" if found is None else found.value


def _no(status: int, words: str) -> Response:
    return PlainTextResponse(words + "\n", status)
