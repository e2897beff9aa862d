"""
What each form of the check-in page asks, and which entries its answers make.

What is left blank is not known, never zero.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from pydantic import ValidationError

from mealplan.checkin.log.entries import (
    ENTRY,
    LIMBS,
    AnyEntry,
    GirthSite,
    Side,
)
from mealplan.checkin.log.words import fault_of
from mealplan.errors import CheckInError

Kind = Literal["text", "number", "date", "time", "choice", "scale", "tick"]
Typed = Mapping[str, str]
MOST_DAYS_AT_ONCE = 31
"""Days whose eating may be logged in one go. [days]"""


@dataclass(frozen=True)
class LogField:
    """One question of a form."""

    name: str
    label: str
    kind: Kind
    unit: str = ""
    hint: str = ""
    options: tuple[str, ...] = ()
    """Of a choice; for a text, words to pick from."""
    usual: str = ""
    required: bool = False
    ends: tuple[str, str] = ("", "")
    """What 1 and 5 of a scale mean."""
    aside: bool = False
    """True folds the question away inside its form."""


@dataclass(frozen=True)
class LogForm:
    """One form: where it is sent, what it asks and what it makes of the answers."""

    name: str
    title: str
    button: str
    fields: tuple[LogField, ...]
    entries: Callable[[Typed], list[AnyEntry]]
    note: str = ""
    fold: str = ""
    """What the questions folded away inside the form are called."""
    open: bool = False
    """False folds the form away until it is wanted."""


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


DAY = LogField("on", "Day", "date", required=True)
NOTE = LogField("note", "Note", "text")

WEIGH_IN = (
    DAY,
    LogField("value", "Reading", "number", required=True),
    LogField("unit", "in", "choice", options=("kg", "lb", "st")),
    LogField("fasted", "Before eating and drinking", "tick", usual="yes"),
    LogField("after_toilet", "After the toilet", "tick", aside=True),
    LogField("clothed", "With clothes on", "tick", aside=True),
    LogField("other_scale", "On another scale than usual", "tick", aside=True),
    LogField("at", "Time", "time", aside=True),
)


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


EATING = (
    DAY,
    LogField("until", "to, for several", "date"),
    LogField("adherence", "Went", "choice", options=("as planned", "roughly", "other")),
    LogField("kcal", "Energy, if counted", "number", unit="kcal"),
    LogField("what", "What was different", "text"),
)


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


FEELING = (
    DAY,
    LogField("hunger", "Hunger", "scale", ends=("none", "very much")),
    LogField("sleep", "Sleep", "scale", ends=("bad", "good")),
    LogField("mood", "Mood", "scale", ends=("bad", "good")),
    LogField("soreness", "Soreness", "scale", ends=("none", "very much")),
    LogField("digestion", "Digestion", "scale", ends=("bad", "good")),
    LogField("illness", "Illness", "scale", ends=("none", "very much")),
    NOTE,
)


def _feeling(typed: Typed) -> list[AnyEntry]:
    names = ("hunger", "sleep", "mood", "soreness", "digestion", "illness")
    if not any(typed.get(name) for name in (*names, "note")):
        raise CheckInError(
            "nothing was chosen, so there is nothing to log; choose a number on at least one line "
            "or write a note"
        )
    fields = {name: typed.get(name) for name in ("on", "note", *names)}
    return [read_entry(_called(FEELING), kind="feeling", **fields)]


TRAINING = (
    DAY,
    LogField("what", "What was done", "text", required=True),
    LogField("minutes", "Lasted", "number", unit="minutes"),
    LogField("net_kcal", "Energy above rest, if known", "number", unit="kcal"),
    LogField("effort", "Effort", "scale", ends=("very easy", "all out")),
)


def _training(typed: Typed) -> list[AnyEntry]:
    if not typed.get("what"):
        raise CheckInError(
            "what was done is blank, and a session nobody can name helps nobody later; write a "
            "few words such as easy run or squats and rows"
        )
    fields = {name: typed.get(name) for name in ("on", "what", "minutes", "net_kcal", "effort")}
    return [read_entry(_called(TRAINING), kind="training", **fields)]


STEPS = (DAY, LogField("count", "Steps of the whole day", "number", required=True))


def _steps(typed: Typed) -> list[AnyEntry]:
    on, count = typed.get("on"), typed.get("count")
    return [read_entry(_called(STEPS), kind="steps", on=on, count=count)]


SITES = get_args(GirthSite)


PLACES: tuple[tuple[GirthSite, Side | None], ...] = tuple(
    (site, side)
    for site in SITES
    for side in (("left", "right", None) if site in LIMBS else (None,))
)
"""Where a tape lies: limbs by side, or without one."""


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


SCAN = (
    DAY,
    LogField(
        "method",
        "Method",
        "text",
        usual="dxa",
        options=("dxa", "four compartment", "air displacement", "skinfold", "bioimpedance"),
        hint="the same one each time, or the scans cannot be compared",
    ),
    LogField("machine", "Machine", "text", hint="place or model, the same words each time"),
    LogField("fat", "Fat", "number", required=True),
    LogField(
        "lean",
        "Lean",
        "number",
        required=True,
        hint="lean soft tissue and bone mineral added up; all that is not fat",
    ),
    LogField("unit", "Both in", "choice", options=("kg", "lb", "st")),
    LogField("rms_sd_fat_kg", "Precision for fat", "number", unit="kg", aside=True),
    LogField(
        "rms_sd_lean_kg",
        "and for lean",
        "number",
        unit="kg",
        aside=True,
        hint="root mean square standard deviation of the laboratory's own repeated scans",
    ),
)


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


RESTING = (
    DAY,
    LogField("kcal", "Resting energy", "number", unit="kcal a day", required=True),
    LogField(
        "fasted", "Eaten in the ten hours before", "choice", options=("not said", "no", "yes")
    ),
    LogField("device", "Device", "text"),
)


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


TEST = (
    DAY,
    LogField(
        "name",
        "Test",
        "text",
        required=True,
        hint="the same words each time, such as back squat, five repetitions",
    ),
    LogField("value", "Result", "number", required=True),
    LogField("unit", "counted in", "text", hint="kg, lb, min, m, watts"),
    NOTE,
)


def _test(typed: Typed) -> list[AnyEntry]:
    fields = {name: typed.get(name) for name in ("on", "name", "value", "unit", "note")}
    return [read_entry(_called(TEST), kind="test", **fields)]


CYCLE = (
    DAY,
    LogField(
        "day",
        "Day of the cycle",
        "number",
        required=True,
        hint="1 is the first day of bleeding; that day alone is enough",
    ),
)


def _cycle(typed: Typed) -> list[AnyEntry]:
    on, day = typed.get("on"), typed.get("day")
    return [read_entry(_called(CYCLE), kind="cycle day", on=on, day=day)]


EVENT = (
    LogField("on", "From", "date", required=True),
    LogField("until", "Until", "date"),
    LogField(
        "what",
        "What",
        "choice",
        options=(
            "sick",
            "travel",
            "new diet",
            "creatine start",
            "refeed",
            "training change",
            "phase change",
            "other",
        ),
    ),
    LogField("phase", "Name of the phase, when one begins", "text"),
    LogField(
        "kcal_per_day",
        "Change of training: more or less a day",
        "number",
        unit="kcal",
        hint="averaged over the week, such as 150 or -200; blank when not known",
    ),
    NOTE,
)


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
