"""A form as it was sent: read within limits, held to the guard that its page carried."""

from __future__ import annotations

import hmac
import secrets
from typing import Annotated

from fastapi import Depends, Request
from starlette.datastructures import UploadFile

from mealplan.errors import IntakeError, MealPlanError

GUARD = "guard"
"""Cookie and form field that must agree: other sites can send neither."""
LONGEST_FIELD = 20_000
"""Longest text of a form's field, unless named below. [characters]"""
LONG_FIELDS = {"pasted": 400_000, "ingredients": 8_000, "method": 20_000}
"""Fields that take tables, lists or files, and the most they take. [characters]"""
MOST_VALUES = 200
"""Most values of one field that may be ticked more than once."""


class FormRefused(MealPlanError):  # noqa: N818  (reads as what happened)
    """A form did not come from one of our own pages."""


class Form:
    """A posted form whose guard was checked."""

    def __init__(self, texts: dict[str, tuple[str, ...]], uploads: dict[str, bytes]) -> None:
        self._texts = texts
        self._uploads = uploads

    def text(self, name: str) -> str:
        """
        Return one field as typed, empty without it.

        Parameters
        ----------
        name : str
            Name of the field.
        """
        return self.all(name)[-1] if self.all(name) else ""

    def all(self, name: str) -> tuple[str, ...]:
        """
        Return every value of a field that may be ticked more than once.

        Parameters
        ----------
        name : str
            Name of the field.
        """
        return self._texts.get(name, ())

    def number(self, name: str) -> int:
        """
        Return a whole number our own page put there.

        Parameters
        ----------
        name : str
            Name of the field.
        """
        try:
            return int(self.text(name))
        except ValueError:
            raise FormRefused(
                f"{name}={self.text(name)[:40]!r} is not a whole number; go back, load the "
                "page again and resend"
            ) from None

    def upload(self, name: str) -> bytes:
        """
        Return an uploaded file's content, empty without one.

        Parameters
        ----------
        name : str
            Name of the field.
        """
        return self._uploads.get(name, b"")

    def typed(self) -> dict[str, tuple[str, ...]]:
        """Return every text field, so that nothing typed is lost."""
        return {name: values for name, values in self._texts.items() if name != GUARD}


async def form_of(request: Request) -> Form:
    """
    Read a form and check that it came from one of our own pages.

    Parameters
    ----------
    request : Request

    Returns
    -------
    Form

    Raises
    ------
    FormRefused
        When its guard does not agree with the cookie.
    """
    texts: dict[str, tuple[str, ...]] = {}
    uploads: dict[str, bytes] = {}
    async with request.form(max_files=2, max_fields=400) as data:
        for name, value in data.multi_items():
            if isinstance(value, UploadFile):
                uploads[name] = await value.read()
            else:
                _check_field(name, value, len(texts.get(name, ())))
                texts[name] = (*texts.get(name, ()), value)
    form = Form(texts, uploads)
    cookie = request.cookies.get(GUARD, "")
    if not cookie or not hmac.compare_digest(form.text(GUARD).encode(), cookie.encode()):
        raise FormRefused(
            "the form's guard does not match this browser's; cookies may be off, or the page is "
            "old: load the page again and resend"
        )
    return form


def _check_field(name: str, value: str, before: int) -> None:
    """Refuse what nobody types, before anything reads it."""
    most = LONG_FIELDS.get(name, LONGEST_FIELD)
    if len(value) > most or len(name) > 200 or before >= MOST_VALUES:
        raise IntakeError(
            f"the field {name[:40]} holds {len(value):,} letters, more than the {most:,} it takes; "
            "shorten it"
        )
    if "\0" in value or "\0" in name:
        raise IntakeError(f"the field {name[:40]!r} holds the sign NUL; type it again")


TheForm = Annotated[Form, Depends(form_of)]


def guard_of(request: Request) -> str:
    """
    Return the guard this browser's forms carry.

    Parameters
    ----------
    request : Request

    Returns
    -------
    str
        The cookie's, or a new one that the answer sets.
    """
    known = request.cookies.get(GUARD, "")
    if not known:
        known = getattr(request.state, "new_guard", "") or secrets.token_urlsafe(18)
        request.state.new_guard = known
    return known
