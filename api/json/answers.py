"""What the routes of the JSON interface share: headers they read, refusals, one shape of answer."""

from __future__ import annotations

from typing import Annotated, Any

from fastapi import Header, Query
from fastapi.responses import JSONResponse, Response

from api.desk.error_shape import ErrorBody
from api.json.schemas import (
    SolveBody,
)
from api.records.view import Stale

LONGEST_WAIT_S = 25.0
"""How long a request may wait for its plan. [s]"""

REFUSALS: dict[int | str, dict[str, Any]] = {
    status: {"model": ErrorBody, "description": text}
    for status, text in (
        (400, "Not understood"),
        (401, "Sign in first"),
        (403, "Not for this sign-in"),
        (404, "Not here"),
        (409, "Clashes with what is there"),
        (412, "Changed meanwhile"),
        (413, "Too large"),
        (422, "Cannot be used, or refused for safety"),
        (429, "Too many tries"),
        (503, "Busy; try again"),
    )
}

IN_THE_MAKING: dict[int | str, dict[str, Any]] = {
    202: {"model": SolveBody, "description": "In the making; ask at the Location"}
}

IfMatch = Annotated[
    str, Header(alias="If-Match", description="Number in the ETag last seen", examples=['"3"'])
]
MaybeMatch = Annotated[
    str | None,
    Header(alias="If-Match", description="Number in the ETag last seen", examples=['"3"']),
]
Wait = Annotated[
    float,
    Query(ge=0, le=LONGEST_WAIT_S, description="Seconds to wait for the plan before 202 is sent"),
]


def check_number(if_match: str, number: int, what: str) -> None:
    """
    Refuse a change that starts from an older number.

    Parameters
    ----------
    if_match : str
        The header as sent.
    number : int
        What is the latest.
    what : str
        Its name.

    Raises
    ------
    Stale
    """
    if if_match.strip().removeprefix("W/").strip('"') not in (str(number), "*"):
        raise Stale(
            f"{what} {number} is the latest, not {if_match[:40]}; look at it, then make the "
            "change again"
        )


def answered(body: Any, status: int, number: int, location: str = "") -> Response:
    """
    Answer with a body and its number.

    Parameters
    ----------
    body : pydantic model
    status : int
        Of HTTP.
    number : int
        Sent as ETag.
    location : str
        Where it can be asked for again.

    Returns
    -------
    Response
    """
    headers = {"ETag": f'"{number}"'} | ({"Location": location} if location else {})
    return JSONResponse(body.model_dump(mode="json"), status_code=status, headers=headers)
