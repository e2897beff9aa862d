"""
What each form of the check-in page asks, and which entries its answers make.

What is left blank is not known, never zero.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Mapping

from pydantic import ValidationError

from api.forms.log_fields import (
    CYCLE,
    DAY,
    EATING,
    EVENT,
    FEELING,
    PLACES,
    RESTING,
    SCAN,
    STEPS,
    TEST,
    TRAINING,
    WEIGH_IN,
    LogField,
    LogForm,
    Typed,
)
from mealplan.checkin.log.entries import (
    ENTRY,
    AnyEntry,
)
from mealplan.checkin.log.words import fault_of
from mealplan.errors import CheckInError

MOST_DAYS_AT_ONCE = 31
"""Days whose eating may be logged in one go. [days]"""


def read_entry(called: Mapping[str, str] | None = None, **values: object) -> AnyEntry:
    """
    Make a log entry of what was typed.

    Parameters
    ----------
    called : mapping, optional
        Field name to the name the page gives it.
    **values
        Fields of the entry, as text; blank ones are left out.

    Returns
    -------
    AnyEntry

    Raises
    ------
    CheckInError
        In one line: which field, what is wrong with it and how to mend it.
    """
    given = {name: value for name, value in values.items() if value not in (None, "")}
    try:
        return ENTRY.validate_python(given)
    except ValidationError as error:
        raise CheckInError(fault_of(error, called)) from None


def _called(fields: tuple[LogField, ...]) -> dict[str, str]:
    return {field.name: field.label.lower() for field in fields}


def _weigh_in(typed: Typed) -> list[AnyEntry]:
    conditions: dict[str, bool] = {
        name: True for name in ("fasted", "after_toilet", "clothed") if typed.get(name)
    }
    if typed.get("other_scale"):
        conditions["usual_scale"] = False
    entry = read_entry(
        _called(WEIGH_IN),
        kind="weigh-in",
        on=typed.get("on"),
        at=typed.get("at"),
        value=typed.get("value"),
        unit=typed.get("unit") or "kg",
        conditions=conditions,
    )
    return [entry]


def _eating(typed: Typed) -> list[AnyEntry]:
    fields = {name: typed.get(name) for name in ("adherence", "kcal", "what")}
    return [
        read_entry(_called(EATING), kind="intake", on=on, **fields)
        for on in days_between(typed.get("on", ""), typed.get("until", ""))
    ]


def days_between(first: str, last: str) -> list[str]:
    """
    List the days of a span as typed.

    Parameters
    ----------
    first : str
        ISO date.
    last : str
        ISO date; empty for one day.

    Returns
    -------
    list of str
        ISO dates.

    Raises
    ------
    CheckInError
        When a date does not read or the span is turned round or longer than a month.
    """
    if not last.strip():
        return [first]
    try:
        begin, end = dt.date.fromisoformat(first), dt.date.fromisoformat(last)
    except ValueError:
        raise CheckInError(
            f"{first[:20]!r} to {last[:20]!r} are not two dates; write them as 2026-12-07"
        ) from None
    if not 0 <= (end - begin).days < MOST_DAYS_AT_ONCE:
        raise CheckInError(
            f"{begin} to {end} is not a span of 1 to {MOST_DAYS_AT_ONCE} days; check the two dates"
        )
    return [(begin + dt.timedelta(days=n)).isoformat() for n in range((end - begin).days + 1)]


def _feeling(typed: Typed) -> list[AnyEntry]:
    names = ("hunger", "sleep", "mood", "soreness", "digestion", "illness")
    if not any(typed.get(name) for name in (*names, "note")):
        raise CheckInError(
            "nothing was chosen, so there is nothing to log; choose a number on at least one line "
            "or write a note"
        )
    fields = {name: typed.get(name) for name in ("on", "note", *names)}
    return [read_entry(_called(FEELING), kind="feeling", **fields)]


def _training(typed: Typed) -> list[AnyEntry]:
    if not typed.get("what"):
        raise CheckInError(
            "what was done is blank, and a session nobody can name helps nobody later; write a "
            "few words such as easy run or squats and rows"
        )
    fields = {name: typed.get(name) for name in ("on", "what", "minutes", "net_kcal", "effort")}
    return [read_entry(_called(TRAINING), kind="training", **fields)]


def _steps(typed: Typed) -> list[AnyEntry]:
    on, count = typed.get("on"), typed.get("count")
    return [read_entry(_called(STEPS), kind="steps", on=on, count=count)]


def _place(site: str, side: str | None) -> str:
    return "_".join((side or "", site)).strip("_").replace(" ", "_")


def _placed(site: str, side: str | None) -> str:
    return f"{site}, {side}" if side else site


GIRTHS = (
    DAY,
    LogField("unit", "All in", "choice", options=("cm", "in")),
    *(LogField(_place(*one), _placed(*one).capitalize(), "number") for one in PLACES),
)


def _girths(typed: Typed) -> list[AnyEntry]:
    taken = {one: typed[_place(*one)] for one in PLACES if typed.get(_place(*one))}
    if not taken:
        raise CheckInError(
            "no girth was typed, so there is nothing to log; fill in one line at least, such as "
            "waist 82"
        )
    return [
        read_entry(
            {"value": _placed(site, side), "on": "day", "unit": "unit"},
            kind="girth",
            on=typed.get("on"),
            site=site,
            side=side,
            value=value,
            unit=typed.get("unit") or "cm",
        )
        for (site, side), value in taken.items()
    ]


def _scan(typed: Typed) -> list[AnyEntry]:
    for name in ("fat", "lean"):
        if not typed.get(name):
            raise CheckInError(
                f"{name} is blank, and a scan is read from both masses; copy it from the report, "
                "as a mass and not as a percentage"
            )
    called = _called(SCAN) | {"fat_kg": "fat", "lean_kg": "lean"}
    fields = {field.name: typed.get(field.name) for field in SCAN}
    return [read_entry(called, kind="scan", **fields)]


def _resting(typed: Typed) -> list[AnyEntry]:
    fasted = {"no": True, "yes": False}.get(typed.get("fasted", ""))
    return [
        read_entry(
            _called(RESTING),
            kind="rmr test",
            on=typed.get("on"),
            kcal=typed.get("kcal"),
            fasted=fasted,
            device=typed.get("device"),
        )
    ]


def _test(typed: Typed) -> list[AnyEntry]:
    fields = {name: typed.get(name) for name in ("on", "name", "value", "unit", "note")}
    return [read_entry(_called(TEST), kind="test", **fields)]


def _cycle(typed: Typed) -> list[AnyEntry]:
    on, day = typed.get("on"), typed.get("day")
    return [read_entry(_called(CYCLE), kind="cycle day", on=on, day=day)]


def _event(typed: Typed) -> list[AnyEntry]:
    names = ("on", "until", "what", "phase", "kcal_per_day", "note")
    fields = {name: typed.get(name) for name in names}
    return [read_entry(_called(EVENT), kind="event", **fields)]


WEIGH_IN_FORM = LogForm(
    "weigh-in",
    "Weigh-in",
    "Log the reading",
    WEIGH_IN,
    _weigh_in,
    fold="How and when it was weighed",
    open=True,
)
EATING_FORM = LogForm("day", "A day's eating", "Log the day", EATING, _eating, open=True)
FOLDED: tuple[LogForm, ...] = (
    LogForm(
        "feeling", "How it felt", "Log it", FEELING, _feeling, "Leave out what does not matter."
    ),
    LogForm("training", "Training done", "Log the session", TRAINING, _training),
    LogForm("steps", "Steps", "Log the steps", STEPS, _steps),
    LogForm(
        "girths",
        "Girths",
        "Log the girths",
        GIRTHS,
        _girths,
        "Tape level, after breathing out, at the same marks each time. Blank lines are left out.",
    ),
    LogForm("test", "Strength and endurance tests", "Log the test", TEST, _test),
    LogForm(
        "scan",
        "Body scan",
        "Log the scan",
        SCAN,
        _scan,
        fold="Precision, if the laboratory gives it",
    ),
    LogForm("resting", "Resting-metabolism test", "Log the test", RESTING, _resting),
    LogForm("cycle", "Cycle day", "Log the day", CYCLE, _cycle, "Only if you want it followed."),
    LogForm("event", "Illness, travel, changes", "Log it", EVENT, _event),
)
FORMS: dict[str, LogForm] = {form.name: form for form in (WEIGH_IN_FORM, EATING_FORM, *FOLDED)}
"""Every form by the last part of its address."""
