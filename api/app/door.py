"""
The door every request comes through: whose host, from which site, how long, how deep, how slow.

What is refused here is refused before anything of it is read or matched. Answers leave dressed in
the same headers whatever became of the request, a mistake of the service's own included.
"""

from __future__ import annotations

import asyncio
import logging
import re
from collections.abc import MutableMapping
from typing import Any

from fastapi import Request, Response
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from api.pages import errors
from api.settings import Settings
from mealplan.checkin.log.activity_files import MOST_ACTIVITY_BYTES
from mealplan.client.intake import FIRST_YEAR, LAST_YEAR
from mealplan.client.read import MAX_INTAKE_BYTES
from mealplan.errors import MealPlanError
from mealplan.store.deadline import answer_within

MOST_BODY_BYTES = MAX_INTAKE_BYTES + 200_000
"""Largest body taken: an intake and the form around it."""
MOST_OF_RECORDING_BYTES = MOST_ACTIVITY_BYTES * 4 // 3 + 20_000
"""Largest body at the addresses that take recordings of sessions."""
TAKES_RECORDINGS = "/activity"
"""Ending of those addresses."""
LONGEST_ADDRESS = 4_000
"""Path and query together. [characters]"""
DEEPEST_JSON = 32
"""Brackets within brackets; an intake needs 6."""
MOST_JSON_PARTS = 100_000
"""Values of one body; 2,000 log entries with everything in them have half as many."""
LONGEST_BODY_WAIT_S = 20.0
"""A body has to have come by then. [s]"""
UNSAFE = frozenset({"POST", "PUT", "PATCH", "DELETE"})

HEADERS = {
    "Content-Security-Policy": (
        "default-src 'none'; style-src 'self'; script-src 'self'; img-src 'self'; connect-src "
        "'self'; "
        "worker-src 'self'; form-action 'self'; base-uri 'none'; frame-ancestors 'none'"
    ),
    "X-Content-Type-Options": "nosniff",
    "Referrer-Policy": "same-origin",
    "X-Frame-Options": "DENY",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    "Permissions-Policy": "camera=(), geolocation=(), microphone=()",
    # Health data is kept by no browser unless its holder asks; what may be kept says so itself.
    "Cache-Control": "no-store",
}
"""Sent with every answer."""

HOST_ONLY = "__Host-"
"""Before a cookie's name behind HTTPS: no other host, path or plain connection can set it."""
OUR_COOKIES = frozenset({"guard", "sign_in", "client_link", "kept_copy"})
FORMS = frozenset({"application/x-www-form-urlencoded", "multipart/form-data"})
"""What a page's form is sent as."""

_PROXIES = (b"forwarded", b"x-forwarded-for", b"x-forwarded-host", b"x-real-ip", b"via")
_JSON_TOKEN = re.compile(rb'"(?:[^"\\]|\\.)*+"|[\[\]{},]', re.DOTALL)
_LONG_NUMBER = re.compile(rb"\d{40}")
_NUL = re.compile(rb"\x00|\\u0000")
_DAY = re.compile(r"(\d{4,})-\d\d-\d\d")
_log = logging.getLogger("api.app.door")


class Door:
    """
    Turn away what should not come in, and dress what goes out.

    Parameters
    ----------
    app : ASGI application
    settings : Settings
    """

    def __init__(self, app: ASGIApp, settings: Settings) -> None:
        self._app, self._settings = app, settings
        self._late: set[asyncio.Task[None]] = set()

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Answer one request."""
        if scope["type"] != "http":
            await self._app(scope, receive, send)
            return
        if self._settings.secure_cookies:
            scope = {**scope, "headers": [_bare_cookies(one) for one in scope["headers"]]}
        way_out = _WayOut(send, self._settings, scope["path"].startswith("/api/"))
        request = Request(scope, receive)
        refusal = _refused(request, self._settings)
        if refusal is None:
            body, refusal = await _body(request)
        if refusal is not None:
            await refusal(scope, receive, way_out.send)
            return
        answer_within(self._settings.longest_s)
        task = asyncio.ensure_future(self._answer(scope, _replayed(body, receive), way_out))
        done, _ = await asyncio.wait({task}, timeout=self._settings.longest_s)
        if done:
            task.result()
            return
        # The thread at work gets no further than its next question to the store.
        self._late.add(task)
        task.add_done_callback(self._late.discard)
        task.add_done_callback(lambda ended: ended.cancelled() or ended.exception())
        _log.warning("a request took longer than %g s", self._settings.longest_s)
        late = errors.answer(
            request,
            errors.plain_kind(503),
            f"the answer took longer than {self._settings.longest_s:g} s",
            headers={"Retry-After": "30"},
        )
        await way_out.instead(late, scope, receive)

    async def _answer(self, scope: Scope, receive: Receive, way_out: _WayOut) -> None:
        try:
            await self._app(scope, receive, way_out.send)
        except Exception as error:
            # The error's own words may quote what was typed: its kind and place are enough.
            _log.error("a request failed: %s%s", type(error).__name__, _place(error))
            message = "the service made a mistake of its own; what was acknowledged earlier is safe"
            fault = errors.answer(Request(scope), errors.kind_of(MealPlanError()), message)
            await way_out.instead(fault, scope, receive)


class _WayOut:
    """Sends one answer, dressed, and drops what comes after another was sent instead."""

    def __init__(self, send: Send, settings: Settings, to_program: bool) -> None:
        self._send, self._settings, self._to_program = send, settings, to_program
        self._begun = self._given_up = False

    async def send(self, message: Message) -> None:
        """Send a part of the answer."""
        if self._given_up:
            return
        if message["type"] == "http.response.start":
            self._begun = True
            message = self._dressed(message)
        await self._send(message)

    async def instead(self, response: Response, scope: Scope, receive: Receive) -> None:
        """Send another answer, unless one is on its way."""
        if not self._begun:
            await response(scope, receive, self.send)
        self._given_up = True

    def _dressed(self, message: MutableMapping[str, Any]) -> MutableMapping[str, Any]:
        headers = list(message.get("headers", ()))
        there = {name.lower() for name, _ in headers}
        wanted = dict(HEADERS)
        if self._to_program and (b"content-type", b"application/json") in headers:
            wanted["Content-Disposition"] = 'attachment; filename="api.json"'
        if self._settings.secure_cookies:
            wanted["Strict-Transport-Security"] = "max-age=31536000; includeSubDomains"
            headers = [_host_only(one) for one in headers]
        added = [
            (name.lower().encode(), value.encode())
            for name, value in wanted.items()
            if name.lower().encode() not in there
        ]
        return {**message, "headers": [*headers, *added]}


def _host_only(header: tuple[bytes, bytes]) -> tuple[bytes, bytes]:
    """Bind a cookie that is set to this very host."""
    name, value = header
    if name.lower() != b"set-cookie" or value.partition(b"=")[0].decode() not in OUR_COOKIES:
        return header
    secure = b"" if b"secure" in value.lower() else b"; Secure"
    return name, HOST_ONLY.encode() + value + secure


def _bare_cookies(header: tuple[bytes, bytes]) -> tuple[bytes, bytes]:
    """Give the cookies bound to this host their plain names; ours without the bond do not count."""
    name, value = header
    if name.lower() != b"cookie":
        return header
    kept = []
    for part in value.split(b";"):
        called = part.strip().partition(b"=")[0].decode("latin-1")
        if called in OUR_COOKIES:
            continue
        kept.append(part.strip().removeprefix(HOST_ONLY.encode()))
    return name, b"; ".join(kept)


def _place(error: BaseException) -> str:
    trace, lines = error.__traceback__, []
    while trace is not None:
        lines.append(f"{trace.tb_frame.f_code.co_filename}:{trace.tb_lineno}")
        trace = trace.tb_next
    return "".join(f" < {line}" for line in reversed(lines[-6:]))


def _replayed(body: bytes, receive: Receive) -> Receive:
    """Give the body that was read once more, then whatever else comes."""
    given = False

    async def again() -> Message:
        nonlocal given
        if not given:
            given = True
            return {"type": "http.request", "body": body, "more_body": False}
        return await receive()

    return again


def _most_bytes(request: Request) -> int:
    """Give the largest body an address takes."""
    recordings = request.url.path.endswith(TAKES_RECORDINGS)
    return MOST_OF_RECORDING_BYTES if recordings else MOST_BODY_BYTES


async def _body(request: Request) -> tuple[bytes, Response | None]:
    """Read the body, refused when it is too long, too slow or shaped as no body of ours is."""
    if request.method not in UNSAFE:
        return b"", None
    parts: list[bytes] = []
    total = 0
    most = _most_bytes(request)

    async def read() -> None:
        nonlocal total
        async for part in request.stream():
            total += len(part)
            parts.append(part)
            if total > most:
                return

    try:
        await asyncio.wait_for(read(), LONGEST_BODY_WAIT_S)
    except TimeoutError:
        kind = errors.plain_kind(408)
        return b"", errors.answer(
            request, kind, "the request's body came too slowly", headers={"Connection": "close"}
        )
    if total > most:
        return b"", errors.answer(
            request, errors.plain_kind(413), f"the body has more than {most:,} bytes"
        )
    body = b"".join(parts)
    fault = "" if "form" in request.headers.get("content-type", "") else _json_fault(body)
    return body, errors.answer(request, errors.plain_kind(422), fault) if fault else None


def _json_fault(body: bytes) -> str:
    """Say what is wrong with the shape of a JSON body; its words are judged later."""
    depth = parts = 0
    for token in _JSON_TOKEN.finditer(body):
        sign = token[0]
        if sign in (b"[", b"{"):
            depth += 1
            if depth > DEEPEST_JSON:
                return f"the body nests deeper than {DEEPEST_JSON} brackets; nothing here does"
        elif sign in (b"]", b"}"):
            depth -= 1
        elif sign == b",":
            parts += 1
            if parts > MOST_JSON_PARTS:
                return f"the body has more than {MOST_JSON_PARTS:,} parts; send it in several"
    if _LONG_NUMBER.search(body):
        return "the body holds a number of 40 digits or more; no quantity has as many"
    if _NUL.search(body):
        return "the body holds the sign NUL (\\u0000); leave it out"
    return ""


def _refused(request: Request, settings: Settings) -> Response | None:
    scope = request.scope
    host = request.headers.get("host", "")
    name = host if host.startswith("[") and host.endswith("]") else host.rpartition(":")[0] or host
    if name.lower() not in settings.hosts:
        return errors.answer(
            request,
            errors.plain_kind(400),
            f"the address {host[:80]!r} is not one this service answers to",
        )
    if not settings.accounts and any(header in _PROXIES for header, _ in scope["headers"]):
        return errors.answer(
            request,
            errors.kind_for_form(),
            "the request came through a proxy, and without accounts that would let anyone in: add "
            "one with `mealplan coach add LOGIN`, then start with --public NAME",
        )
    path, query = scope["path"], scope.get("query_string", b"")
    if len(path) + len(query) > LONGEST_ADDRESS:
        return errors.answer(request, errors.plain_kind(414), "the address is too long")
    if "\0" in path or b"%00" in query or b"\0" in query:
        return errors.answer(
            request, errors.plain_kind(422), "the address holds the sign NUL; leave it out"
        )
    for part in path.split("/"):
        day = _DAY.fullmatch(part)
        if day and not FIRST_YEAR <= int(day[1][:6]) <= LAST_YEAR:
            return errors.answer(
                request,
                errors.plain_kind(422),
                f"{part[:20]} lies outside the years {FIRST_YEAR} to {LAST_YEAR}; check the year",
            )
    return _refused_write(request, host) if request.method in UNSAFE else None


def _refused_write(request: Request, host: str) -> Response | None:
    origin = request.headers.get("origin")
    if origin is not None and origin.partition("://")[2].lower() != host.lower():
        return errors.answer(
            request,
            errors.kind_for_form(),
            f"the request comes from {origin[:80]!r}, not from these pages",
        )
    if request.headers.get("sec-fetch-site", "same-origin") not in ("same-origin", "none"):
        return errors.answer(request, errors.kind_for_form(), "the request comes from another site")
    size = request.headers.get("content-length", "0")
    most = _most_bytes(request)
    if (
        not (size.isascii() and size.isdigit())
        or len(size) > 12
        or int(size) > most
        or "chunked" in request.headers.get("transfer-encoding", "").lower()
    ):
        return errors.answer(
            request,
            errors.plain_kind(413),
            f"a body of {size[:20]} bytes was announced; {most:,} are taken",
        )
    return _refused_form(request) if int(size) else None


def _refused_form(request: Request) -> Response | None:
    """Refuse a body that says to be neither JSON for a program's address nor a page's form."""
    said = request.headers.get("content-type", "").partition(";")[0].strip().lower()
    if said == "application/json" if errors.wants_json(request) else said in FORMS:
        return None
    return errors.answer(
        request, errors.plain_kind(415), f"the body says to be {said[:60] or 'nothing'!r}"
    )
