"""Every refusal as one JSON shape and one page: what, how to mend it, and a code to act on."""

from __future__ import annotations

import dataclasses
import logging
from dataclasses import dataclass

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.responses import JSONResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from api.desk.deps import CLIENT_LINK, SIGN_IN, NotAllowed, SignInNeeded
from api.desk.error_shape import ErrorBody, ErrorDetail
from api.desk.form_body import FormRefused
from api.pages.contexts import ErrorPage
from api.pages.rendering import page
from api.records.view import NothingPlanned, Stale
from api.security.accounts import WrongPassword
from api.security.kept_copy import FORGET
from api.security.throttle import TooManyTries
from foods import FoodError
from mealplan.errors import (
    CheckInError,
    IntakeError,
    MealPlanError,
    NoPlanError,
    SafetyRefusal,
    SolverError,
    StoreError,
    TargetError,
)
from mealplan.jobs import Busy
from mealplan.redaction import hide_numbers
from mealplan.store.base import AlreadyThere, NotThere, Unkeepable
from mealplan.store.documents import Unreadable
from mealplan.targets.safety import refusal_words

_log = logging.getLogger("api.security")


@dataclass(frozen=True)
class _Kind:
    status: int
    code: str
    title: str
    mend: str


KINDS: dict[type[Exception], _Kind] = {
    SignInNeeded: _Kind(
        401, "sign_in_needed", "Sign in first", "Sign in, or open the link the coach gave you."
    ),
    WrongPassword: _Kind(401, "wrong_password", "Not signed in", "Check login and password."),
    TooManyTries: _Kind(429, "slow_down", "Too many tries", "Wait a quarter of an hour."),
    NotAllowed: _Kind(403, "not_allowed", "Not for this sign-in", "Ask the coach."),
    FormRefused: _Kind(
        403, "form_refused", "The form was not taken", "Load the page again and resend."
    ),
    NothingPlanned: _Kind(
        404, "nothing_planned", "No plan yet", "Plan a week on the client's file."
    ),
    NotThere: _Kind(404, "not_there", "Not here", "Check the address, or start from the roster."),
    AlreadyThere: _Kind(
        409, "clash", "Already there", "Look at what is there, then choose another name or number."
    ),
    Unreadable: _Kind(
        409,
        "outdated",
        "Kept in a shape this release cannot read",
        "Nothing of it was removed; the coach finds on the client's file what is set aside.",
    ),
    Stale: _Kind(
        412, "stale", "Changed meanwhile", "Load the newest version and make the change again."
    ),
    SafetyRefusal: _Kind(
        422,
        "refused_for_safety",
        "Refused for safety",
        "See the professional named; they can record an override.",
    ),
    NoPlanError: _Kind(422, "no_plan", "No plan exists", "Relax one of the named wishes."),
    TargetError: _Kind(
        422, "targets", "No targets", "Change the goal or the activity, then send it again."
    ),
    CheckInError: _Kind(
        422, "check_in", "Not logged", "Correct what is named, then send it again."
    ),
    IntakeError: _Kind(
        422, "intake", "The intake cannot be used", "Correct what is named, then send it again."
    ),
    FoodError: _Kind(422, "food", "No such food", "Choose one of the foods offered."),
    Busy: _Kind(503, "busy", "Busy", "Wait half a minute and ask again."),
    SolverError: _Kind(
        500, "solver", "The solver stopped", "Ask again; with another seed if it happens twice."
    ),
    Unkeepable: _Kind(
        422, "request", "Not understood", "Correct what is named, then send it again."
    ),
    StoreError: _Kind(
        503, "store", "Nothing was kept", "Try again; what was acknowledged earlier is safe."
    ),
    MealPlanError: _Kind(
        500, "failed", "Something failed", "Try again, and tell whoever runs the service."
    ),
}
"""Kind of refusal to its status, code and advice; the nearest ancestor counts."""

TO_AN_UNPLANNED_CLIENT = "Your coach plans the first week; ask them."
"""What a client is told whose coach has planned nothing yet."""

TO_A_REFUSED_CLIENT = (
    "Speak with your coach before you go on with what was planned earlier; see the professional "
    "named."
)
"""What a client is told who may not act on a plan any more."""

_PLAIN = {
    400: _Kind(400, "request", "Not understood", "Check what was sent."),
    404: KINDS[NotThere],
    408: _Kind(408, "too_slow", "Too slow", "Send it again over a better connection."),
    405: _Kind(405, "method", "Not that way", "Look the address up in /api/openapi.json."),
    413: _Kind(
        413, "too_large", "Too large", "An intake holds at most 1 MB; is it the right file?"
    ),
    414: _Kind(414, "too_long", "Too long", "Shorten the address."),
    415: _Kind(
        415, "media_type", "Not in that form", "Send application/json, or a form to a page."
    ),
    422: _Kind(422, "request", "Not understood", "Correct what is named, then send it again."),
    503: _Kind(503, "busy", "Busy", "Wait half a minute and ask again."),
    429: _Kind(429, "slow_down", "Too many tries", "Wait as long as Retry-After says."),
}


def kind_of(error: Exception) -> _Kind:
    """
    Say how an error is answered.

    Parameters
    ----------
    error : Exception

    Returns
    -------
    _Kind
    """
    return next(
        (KINDS[parent] for parent in type(error).__mro__ if parent in KINDS), KINDS[MealPlanError]
    )


def plain_kind(status: int) -> _Kind:
    """
    Say how a bare HTTP status is answered.

    Parameters
    ----------
    status : int
        HTTP status.
    """
    return _PLAIN.get(status) or _Kind(status, "request", "Not understood", "Check what was sent.")


def kind_for_form() -> _Kind:
    """Say how a write from another site is answered."""
    return KINDS[FormRefused]


def wants_json(request: Request) -> bool:
    """
    Say whether the asker is a program.

    Parameters
    ----------
    request : Request
        What was asked.
    """
    return request.url.path.startswith("/api/")


def answer(
    request: Request,
    kind: _Kind,
    message: str,
    details: tuple[str, ...] = (),
    headers: dict[str, str] | None = None,
    way: str = "",
) -> Response:
    """
    Answer with a refusal.

    Parameters
    ----------
    request : Request
    kind : _Kind
    message : str
        What, with the value.
    details : tuple of str
        Clashing rules or further mistakes.
    headers : dict, optional
    way : str, optional
        Address of the page where it can be mended.

    Returns
    -------
    Response
    """
    principal = getattr(request.state, "principal", None)
    if principal is not None and principal.hide:
        message, details = hide_numbers(message), tuple(map(hide_numbers, details))
    if wants_json(request):
        body = ErrorBody(
            error=ErrorDetail(code=kind.code, message=message, mend=kind.mend, details=details)
        )
        return JSONResponse(body.model_dump(), status_code=kind.status, headers=headers)
    context = ErrorPage(title=kind.title, message=message, mend=kind.mend, details=details, way=way)
    return page(request, context, status=kind.status, headers=headers)


def _sign_in_first(request: Request) -> Response:
    held = CLIENT_LINK in request.cookies and SIGN_IN not in request.cookies
    response = RedirectResponse("/link-over" if held else "/sign-in", status_code=303)
    # Whoever was known here before is not any more: nothing of theirs may stay.
    for name in (SIGN_IN, CLIENT_LINK):
        if name in request.cookies:
            response.headers.update(FORGET)
            response.delete_cookie(name, path="/")
    return response


def _retry_after(error: Exception, kind: _Kind) -> dict[str, str] | None:
    if isinstance(error, TooManyTries):
        return {"Retry-After": "900"}
    if kind.status == 503:
        return {"Retry-After": "30" if isinstance(error, Busy) else "5"}
    return None


def _note_refusal(request: Request, code: str) -> None:
    route = getattr(request.scope.get("route"), "path", "no route")
    _log.warning("refused: %s %s (%s)", request.method[:10], route, code)


def _refused(request: Request, error: Exception) -> Response:
    if isinstance(error, SignInNeeded) and not wants_json(request):
        return _sign_in_first(request)
    kind = kind_of(error)
    if isinstance(error, NotAllowed | FormRefused | TooManyTries):
        _note_refusal(request, kind.code)
    details = getattr(error, "clashing", ())
    principal = getattr(request.state, "principal", None)
    to_client = principal is not None and principal.kind == "client"
    way = ""
    if isinstance(error, NothingPlanned):
        if to_client:
            kind = dataclasses.replace(kind, mend=TO_AN_UNPLANNED_CLIENT)
        else:
            way = f"/clients/{error.client_id}"
    if isinstance(error, SafetyRefusal):
        if to_client:
            kind = dataclasses.replace(kind, mend=TO_A_REFUSED_CLIENT)
        details = tuple(refusal_words(one) for one in error.findings)
    return answer(request, kind, str(error), details, _retry_after(error, kind), way)


def _malformed(request: Request, error: Exception) -> Response:
    found = error.errors()[:20] if isinstance(error, RequestValidationError) else ()
    details = tuple(
        f"{'.'.join(str(part) for part in item['loc'])}: {item['msg']}" for item in found
    )
    kind = _Kind(422, "request", "Not understood", "Compare what was sent with /api/openapi.json.")
    return answer(request, kind, details[0] if details else "the request is malformed", details[1:])


def _beyond(request: Request, error: Exception) -> Response:
    return answer(
        request,
        plain_kind(422),
        "a number, a date or a sign sent lies outside what is reckoned with here",
    )


def _plain(request: Request, error: Exception) -> Response:
    status = error.status_code if isinstance(error, HTTPException) else 500
    detail = str(error.detail) if isinstance(error, HTTPException) else ""
    headers = dict(error.headers or {}) if isinstance(error, HTTPException) else {}
    if status == 404:
        detail = f"there is nothing at {request.url.path[:200]}"
    if status == 405:
        _note_refusal(request, "method")
    return answer(request, plain_kind(status), detail, headers=headers)


def install(app: FastAPI) -> None:
    """
    Let an application answer its errors so.

    Parameters
    ----------
    app : FastAPI
    """
    for kind in (MealPlanError, FoodError):
        app.add_exception_handler(kind, _refused)
    for far in (OverflowError, RecursionError, UnicodeError):
        app.add_exception_handler(far, _beyond)
    app.add_exception_handler(RequestValidationError, _malformed)
    app.add_exception_handler(HTTPException, _plain)
