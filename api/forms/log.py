"""
The forms of the check-in page as one client is asked them, and how typed text becomes entries.

Nothing is judged here: what does not read as a number is passed on as typed, so that the log's own
message says how to mend it.
"""

from __future__ import annotations

import re
from dataclasses import replace

from api.forms.log_fields import LogField, LogForm, Typed
from api.forms.log_questions import FORMS
from mealplan.checkin.energy.training_cost import planned_sessions
from mealplan.checkin.log.entries import AnyEntry, Girth, TestResult, TrainingDone, WeighIn
from mealplan.checkin.log.log import Log
from mealplan.client.intake import Intake
from mealplan.errors import CheckInError

DECIMAL_COMMA = re.compile(r"[+-]?\d+,\d{1,2}")
"""As some keyboards write 80.4; three digits after it may be thousands and are asked about."""


def forms_for(intake: Intake, log: Log, *, hide: bool = False) -> tuple[LogForm, ...]:
    """
    Return the forms a client is asked, in their units and with their own earlier words to pick.

    Parameters
    ----------
    intake : Intake
        Units of the kitchen are the units that are chosen first.
    log : Log
        Unit last used goes before the kitchen's; names of tests are offered again.
    hide : bool
        True leaves calories out.

    Returns
    -------
    tuple of LogForm
    """
    us = intake.kitchen.units == "us"
    usual: dict[str, str] = {"kg": "lb" if us else "kg", "cm": "in" if us else "cm"}
    weighed, taped = log.of(WeighIn), log.of(Girth)
    if weighed:
        usual["kg"] = weighed[-1].unit
    if taped:
        usual["cm"] = taped[-1].unit
    tests = tuple(sorted({test.name for test in log.of(TestResult)}, key=str.casefold))
    done = [entry.what for entry in log.of(TrainingDone)[-60:] if entry.what]
    sessions = tuple(dict.fromkeys([s.name for s in planned_sessions(intake)] + done[::-1]))[:12]

    def settle(form: LogForm, field: LogField) -> LogField:
        if field.kind == "choice" and field.options[0] in usual:
            return replace(field, usual=usual[field.options[0]])
        if form.name == "test" and field.name == "name":
            return replace(field, options=tests)
        if form.name == "training" and field.name == "what":
            return replace(field, options=sessions)
        return field

    left_out = {"cycle"} if intake.sex == "male" else set()
    if hide:
        left_out |= {"resting", "scan", "girths"}
    return tuple(
        replace(
            form,
            fields=tuple(
                settle(form, field)
                for field in form.fields
                if not (hide and field.name in ("kcal", "net_kcal", "kcal_per_day"))
            ),
        )
        for form in FORMS.values()
        if form.name not in left_out
    )


def read_form(name: str, typed: Typed) -> list[AnyEntry]:
    """
    Make log entries of a typed form.

    Parameters
    ----------
    name : str
        Of :data:`FORMS`.
    typed : mapping
        Field name to its text.

    Returns
    -------
    list of entry

    Raises
    ------
    CheckInError
        When the form is not known or an answer cannot be.
    """
    form = FORMS.get(name)
    if form is None:
        raise CheckInError(
            f"there is no form {name[:40]!r} here; load the check-in page again and use one of its "
            "forms"
        )
    numbers = {field.name for field in form.fields if field.kind == "number"}
    return form.entries(
        {key: _plain(text) if key in numbers else text.strip() for key, text in typed.items()}
    )


def _plain(text: str) -> str:
    """Take a decimal comma for a point; anything else is left as typed."""
    text = text.strip()
    return text.replace(",", ".") if DECIMAL_COMMA.fullmatch(text) else text
