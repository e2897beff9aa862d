"""What is wrong with an intake, said at the fields of its form."""

from __future__ import annotations

import re
from collections.abc import Mapping

from api.forms.intake_fields import (
    FIELDS,
)
from api.forms.sessions import LABELS
from mealplan.errors import IntakeError


class FormFaults(IntakeError):  # noqa: N818  (reads as what it holds)
    """
    Something typed into the form does not read.

    Parameters
    ----------
    faults : mapping
        Field name to why, and how to write it.
    """

    def __init__(self, faults: Mapping[str, str]) -> None:
        named = "; ".join(f"{label_of(name)}: {why}" for name, why in faults.items())
        super().__init__(named)
        self.faults = dict(faults)


def label_of(name: str) -> str:
    """
    Say how the form calls one of its fields.

    Parameters
    ----------
    name : str

    Returns
    -------
    str
        Of a row of the training week, with its number.
    """
    if name in FIELDS:
        return FIELDS[name].label
    _, row, part = name.split(".")
    return f"Session {int(row) + 1}, {LABELS[part].lower()}"


def in_page_words(message: str) -> str:
    """
    Put the questions of the form in the place of the fields a message names.

    Parameters
    ----------
    message : str
        From :class:`mealplan.errors.IntakeError`.

    Returns
    -------
    str
    """
    for name in sorted(FIELDS, key=len, reverse=True):
        if "_" in name or "." in name:
            message = message.replace(name, f"“{FIELDS[name].label}”")
    return message


def faulty_fields(message: str) -> frozenset[str]:
    """
    Say which fields a message is about.

    Parameters
    ----------
    message : str
        From :class:`mealplan.errors.IntakeError`.

    Returns
    -------
    frozenset of str
        Names of fields the message starts a part with; empty when it names none.
    """
    words = set(re.findall(r"[a-z][a-z0-9_.]*", message))
    exact = {name for name in FIELDS if name in words}
    last = {name for name in FIELDS if name.rpartition(".")[2] in words and "_" in name}
    return frozenset(exact or last)
