"""Log entries in words, each in the unit it was logged in; and what is wrong with a typed one."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from mealplan.checkin.log.entries import (
    AnyEntry,
    CycleDay,
    Event,
    Feeling,
    Girth,
    IntakeRecord,
    RmrTest,
    ScanRecord,
    Steps,
    TestResult,
    TrainingDone,
    WeighIn,
)

CALLED: Mapping[str, str] = {
    "weigh-in": "Weigh-in",
    "girth": "Girth",
    "scan": "Body scan",
    "rmr test": "Resting test",
    "intake": "Eating",
    "training": "Training",
    "steps": "Steps",
    "feeling": "How it felt",
    "cycle day": "Cycle day",
    "test": "Test",
    "event": "Event",
}
"""Kinds of entry as a page calls them."""


def entry_words(entry: AnyEntry, *, hide: bool = False) -> str:
    """
    Say what was logged.

    Parameters
    ----------
    entry : entry
    hide : bool
        True leaves weights, girths and calories out.

    Returns
    -------
    str
        Without the day; begins with a capital.
    """
    parts = [CALLED[entry.kind], _hidden(entry) if hide else _said(entry)]
    if entry.note:
        parts.append(entry.note)
    return ", ".join(part for part in parts if part)


def _said(entry: AnyEntry) -> str:
    match entry:
        case WeighIn():
            return f"{entry.value:.10g} {entry.unit}{_conditions(entry)}"
        case Girth():
            return f"{entry.place} {entry.value:.10g} {entry.unit}"
        case ScanRecord():
            fat, lean = entry.in_unit(entry.fat_kg), entry.in_unit(entry.lean_kg)
            return f"{entry.method}: fat {fat:.10g} {entry.unit}, lean {lean:.10g} {entry.unit}"
        case RmrTest():
            return f"{entry.kcal:,.0f} kcal a day"
        case IntakeRecord():
            about = f" ± {entry.sd_kcal:,.0f}" if entry.sd_kcal else ""
            counted = f"{entry.kcal:,.0f}{about} kcal counted" if entry.kcal is not None else ""
            return ", ".join(p for p in (entry.adherence, counted, entry.what) if p)
        case Event(kcal_per_day=float(change)):
            return f"{_hidden(entry)}, {change:+,.0f} kcal a day"
        case TrainingDone():
            burnt = f"{entry.net_kcal:,.0f} kcal" if entry.net_kcal is not None else ""
            return ", ".join(p for p in (_session(entry), burnt) if p)
        case _:
            return _hidden(entry)


def _hidden(entry: AnyEntry) -> str:
    match entry:
        case IntakeRecord():
            return ", ".join(p for p in (entry.adherence, entry.what) if p)
        case TrainingDone():
            return _session(entry)
        case Feeling():
            names = ("hunger", "sleep", "mood", "illness", "soreness", "digestion")
            scores = ((name, getattr(entry, name)) for name in names)
            return ", ".join(f"{name} {score}" for name, score in scores if score is not None)
        case CycleDay():
            return f"day {entry.day}"
        case TestResult():
            return f"{entry.name} {entry.value:.10g} {entry.unit}".strip()
        case Steps():
            return f"{entry.count:,}"
        case Event():
            until = f" until {entry.until.day} {entry.until:%B}" if entry.until else ""
            return f"{entry.what}{until}"
        case _:
            return ""


def _session(entry: TrainingDone) -> str:
    minutes = f"{entry.minutes:g} min" if entry.minutes is not None else ""
    effort = f"effort {entry.effort} of 5" if entry.effort is not None else ""
    return ", ".join(p for p in (entry.what, minutes, effort) if p)


def _conditions(entry: WeighIn) -> str:
    how = entry.conditions
    said = (
        ("fasted", how.fasted is True),
        ("after the toilet", how.after_toilet is True),
        ("clothed", how.clothed is True),
        ("another scale", how.usual_scale is False),
    )
    words = ", ".join(text for text, true in said if true)
    return f" ({words})" if words else ""


MENDING: Mapping[str, str] = {
    "adherence": "as planned, roughly, or other",
    "at": "a clock time such as 07:15, or leave it blank",
    "count": "steps of the whole day as a whole number, such as 8400",
    "day": "day 1 is the first day of bleeding; a cycle on record runs to 120 days at most",
    "digestion": "a whole number from 1, bad, to 5, good",
    "effort": "a whole number from 1, very easy, to 5, all out",
    "fat_kg": "fat mass from the report, not a percentage; check the unit beside it",
    "hunger": "a whole number from 1, none, to 5, very much",
    "illness": "a whole number from 1, none, to 5, very much",
    "kcal_per_day": "kilocalories a day more or less, averaged over the week, such as 150 or -200",
    "sd_kcal": "kilocalories, one standard deviation of meals said in words, such as 80",
    "kcal": "kilocalories a day; divide kilojoules by 4.184",
    "lean_kg": "lean soft tissue and bone mineral together; check the unit beside it",
    "minutes": "minutes, not hours: an hour and a half is 90",
    "mood": "a whole number from 1, bad, to 5, good",
    "name": "a few words such as back squat, five repetitions",
    "net_kcal": "kilocalories above rest for the session; leave it blank when not known",
    "on": "a date such as 2026-12-07",
    "rms_sd_fat_kg": "kilograms, from the laboratory's own repeated scans; blank is fine",
    "rms_sd_lean_kg": "kilograms, from the laboratory's own repeated scans; blank is fine",
    "side": "left or right, for thigh, calf and upper arm",
    "site": "one of the places the tape list names",
    "sleep": "a whole number from 1, bad, to 5, good",
    "soreness": "a whole number from 1, none, to 5, very much",
    "until": "a date such as 2026-12-09, or leave it blank",
    "what": "choose one from the list, or write a few words",
    "unit": "one of those offered beside the number",
    "value": "a number alone, such as 80.2; the unit goes beside it",
}
"""How to write a field of a log entry, by its name."""


def fault_of(error: ValidationError, called: Mapping[str, str] | None = None) -> str:
    """
    Say in one line what is wrong with a typed entry, why, and how to mend it.

    Parameters
    ----------
    error : ValidationError
        Of :data:`mealplan.checkin.log.entries.ENTRY`.
    called : mapping, optional
        Field name to the name the reader knows it by.

    Returns
    -------
    str
    """
    first = error.errors(include_url=False)[0]
    place = [str(part) for part in first["loc"] if str(part) not in CALLED]
    name = place[-1] if place else ""
    label = (called or {}).get(name, name.replace("_", " "))
    typed = first.get("input")
    shown = "" if isinstance(typed, dict) else f" {str(typed)[:40]!r}"
    mend = MENDING.get(name, "correct it and send it again")
    context: dict[str, Any] = first.get("ctx", {})
    kind = first["type"]
    if kind == "value_error":
        said = str(first["msg"]).removeprefix("Value error, ")
        return f"{label}{shown}: {said}" if label and shown else said
    if kind == "missing":
        return f"{label} is missing: {mend}"
    limits = (
        ("greater_than_equal", "is below", "ge"),
        ("greater_than", "is not above", "gt"),
        ("less_than_equal", "is above", "le"),
        ("less_than", "is not below", "lt"),
    )
    for word, said, key in limits:
        if kind == word:
            return f"{label}{shown} {said} {context[key]:g}, which cannot be: {mend}"
    if kind.startswith(("float", "int")):
        return f"{label}{shown} does not read as a number: {mend}"
    if kind.startswith("date"):
        return f"{label}{shown} is not a date: write it as 2026-12-07"
    if kind.startswith("time"):
        return f"{label}{shown} is not a clock time: {mend}"
    if kind == "literal_error":
        return f"{label}{shown} is not one of {context['expected']}: choose one of them"
    if kind == "string_too_long":
        return f"{label} is longer than {context['max_length']} letters: shorten it"
    if kind == "string_too_short":
        return f"{label} is empty: {mend}"
    return f"{label}{shown}: {first['msg']}: {mend}"
