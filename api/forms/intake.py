"""
The intake as a form: how typed text becomes an intake's JSON, and what an intake shows.

A field is named by its place in the intake (``goal.change_kg``). Nothing is judged here: what does
not read as a number is passed on as typed, so that the intake's own message says how to mend it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from typing import Any

from api.forms.intake_faults import FormFaults
from api.forms.intake_fields import (
    FIELDS,
    NOTHING,
    ROWS,
    Field,
    Typed,
)
from api.forms.sessions import read_rows, shown_rows
from foods.composition.catalogue import ALLERGENS, Catalogue
from foods.registry.errors import FoodError
from mealplan.client.intake import (
    WEEKDAYS,
    Intake,
)
from mealplan.client.session_lines import read_sessions
from mealplan.client.typed import read_quantity
from mealplan.client.typed_dates import age_on, read_typed_date, says_date
from mealplan.client.typed_lists import (
    read_clock_time,
    read_clock_times,
    read_days,
    read_food_words,
    read_minutes_by_day,
    tells_allergy,
)
from mealplan.errors import IntakeError


def blank() -> dict[str, tuple[str, ...]]:
    """
    Return what a new form starts with.

    Returns
    -------
    dict
        Field name to its values.
    """
    return {name: (field.usual,) if field.usual else () for name, field in FIELDS.items()}


def to_data(typed: Typed, before: Mapping[str, Any] | None = None) -> dict[str, Any]:
    """
    Turn a typed form into an intake's JSON.

    Parameters
    ----------
    typed : mapping
        Field name to the values as typed.
    before : mapping, optional
        The intake being amended: what the form does not ask stays as it is.

    Returns
    -------
    dict
        For :func:`mealplan.client.read.parse_intake`.

    Raises
    ------
    FormFaults
        With what does not read, by field.
    """
    data: dict[str, Any] = {}
    faults: dict[str, str] = {}
    for name, field in FIELDS.items():
        try:
            value = _age(typed) if name == "age_years" else None
            value = value or _value(field, typed.get(name, ()))
        except IntakeError as error:
            faults[name] = str(error)
            continue
        if value is not None:
            _put(data, name, value)
    sessions, at_fault = read_rows(typed)
    faults |= at_fault
    if faults:
        raise FormFaults(faults)
    if sessions:
        given = data.setdefault("activity", {}).get("sessions") or []
        data["activity"]["sessions"] = [*given, *sessions]
    _add_allergies(data, typed)
    _settle_activity(data)
    return _overlay(dict(before or {}), data)


def _add_allergies(data: dict[str, Any], typed: Typed) -> None:
    """Put an allergy told among disliked foods where labels are read for it as well."""
    tastes = data.get("tastes", {})
    told: set[str] = set()
    for name in _UNWANTED:
        text = " ".join(typed.get(name, ()))
        coeliac, allergic = tells_allergy(text)
        told |= {"gluten"} if coeliac else set()
        for word in read_food_words(text, keep_animals=True) if allergic else ():
            try:
                told |= Catalogue.load().label_words(word) & set(ALLERGENS)
            except FoodError:
                continue
    if told:
        tastes["allergies"] = sorted({*tastes.get("allergies", ()), *told})
        data["tastes"] = tastes


def to_typed(intake: Intake) -> dict[str, tuple[str, ...]]:
    """
    Turn an intake into what its form shows.

    Parameters
    ----------
    intake : Intake

    Returns
    -------
    dict
        Field name to its values.
    """
    data = intake.model_dump(mode="json")
    typed = {}
    for name, field in FIELDS.items():
        value: Any = data
        for part in name.split("."):
            value = value.get(part) if isinstance(value, dict) else None
        typed[name] = _shown(field, value) if field.kind != "sessions" else ()
    activity = data["activity"]
    return typed | shown_rows(activity.get("sessions") or ())


def _age(typed: Mapping[str, Sequence[str]]) -> int | None:
    """Give the age on the first day where a birth date was typed for it."""
    text, start = (next(iter(typed.get(name, ())), "").strip() for name in ("age_years", "start"))
    if not text:
        return None
    try:
        first = read_typed_date(start)
    except IntakeError:
        first = None
    if first is not None:
        return age_on(text, first)
    if says_date(text):
        raise IntakeError(f"“{text[:40]}” is a birth date; write the plan's start, or the age")
    return None


def _value(field: Field, values: tuple[str, ...]) -> Any:
    texts = [text.strip() for text in values if text.strip()]
    if field.kind == "ticks":
        return texts
    if field.kind == "flag":
        return bool(texts)
    text = texts[0] if texts else ""
    if field.name == "kitchen.meal_times":
        return read_clock_times(text)
    if field.name == "kitchen.living.cooking_days":
        return read_days(text)
    if field.kind == "words":
        return read_food_words(text) if field.name in _UNWANTED else _parts(text)
    if not text:
        return None
    if field.kind == "date":
        return read_typed_date(text).isoformat()
    if field.kind == "number":
        return _whole(read_quantity(field.name, text).value)
    if field.name in ("kitchen.meals", "tastes.heat_max"):
        return _number(text)
    if field.kind == "sessions":
        return [
            session for line in text.splitlines() if line.strip() for session in read_sessions(line)
        ]
    if field.kind == "minutes":
        return read_minutes_by_day(text)
    if field.kind == "rows":
        return [_row(ROWS[field.name], line) for line in text.splitlines() if line.strip()]
    return text


_UNWANTED = frozenset({"tastes.never", "tastes.dislikes", "tastes.seldom"})
"""Lists of foods that may be typed as a sentence."""


def _parts(text: str) -> list[str]:
    return [part.strip() for part in text.split(",") if part.strip()]


_READ_AS: Mapping[str, Callable[[str], Any]] = {
    "date": lambda text: read_typed_date(text).isoformat(),
    "until": lambda text: read_typed_date(text).isoformat(),
    "time": read_clock_time,
    "minutes": lambda text: _whole(read_quantity("minutes", text).value),
    "price": lambda text: _whole(read_quantity("budget_per_week", text).value),
    "grams": lambda text: _grams(text),
    "size_g": lambda text: _grams(text),
}
"""Part of a line to how it is read."""


def _grams(text: str) -> int | float:
    return _whole(read_quantity("pack_kg", text if _has_unit(text) else f"{text} g").value * 1000)


def _has_unit(text: str) -> bool:
    return any(letter.isalpha() for letter in text)


def _read_part(name: str, part: str) -> Any:
    return _READ_AS[name](part) if name in _READ_AS else _number(part)


def _row(names: tuple[str, ...], line: str) -> dict[str, Any]:
    """Read one line: a name, which may hold commas, then as many numbers as there are."""
    parts = [part.strip() for part in line.rsplit(",", len(names) - 1)]
    row: dict[str, Any] = {names[0]: parts[0]}
    row |= {
        name: _read_part(name, part)
        for name, part in zip(names[1:], parts[1:], strict=False)
        if part != NOTHING
    }
    return row


def _number(text: str) -> Any:
    try:
        return int(text)
    except ValueError:
        pass
    try:
        return float(text)
    except ValueError:
        return text


def _whole(value: float) -> int | float:
    return int(value) if value == int(value) else round(value, 4)


def _put(data: dict[str, Any], name: str, value: Any) -> None:
    *path, last = name.split(".")
    for part in path:
        data = data.setdefault(part, {})
    data[last] = value


def _settle_activity(data: dict[str, Any]) -> None:
    activity = data.get("activity", {})
    if activity.get("method") == "multiplier":
        for name in ("everyday_factor", "sessions", "vary_by_day"):
            activity.pop(name, None)
    else:
        activity.pop("pal", None)
        activity.setdefault("sessions", [])


def _overlay(before: dict[str, Any], data: dict[str, Any]) -> dict[str, Any]:
    """Put the form's answers over the intake; what the form asks and was left blank goes."""
    merged = _over(before, data)
    old, new = before.get("activity"), data.get("activity")
    if old and new and old.get("method") != new.get("method"):
        merged["activity"] = new
    return merged


def _over(before: dict[str, Any], data: dict[str, Any], within: str = "") -> dict[str, Any]:
    merged = {
        key: value
        for key, value in before.items()
        if value is not None and f"{within}{key}" not in FIELDS and not _holds(f"{within}{key}.")
    }
    for key, old in before.items():
        if _holds(f"{within}{key}.") and isinstance(old, dict):
            rest = _over(old, data.get(key) or {}, f"{within}{key}.")
            if rest and (key in data or within):
                merged[key] = rest
    return {**data, **merged}


def _holds(prefix: str) -> bool:
    return any(name.startswith(prefix) for name in FIELDS)


def _shown(field: Field, value: Any) -> tuple[str, ...]:
    if value is None or value is False or value == "":
        return ()
    if field.kind == "ticks":
        return tuple(str(item) for item in value)
    if field.kind == "flag":
        return ("yes",)
    if field.kind == "words":
        return (", ".join(str(item) for item in value),) if value else ()
    if field.kind == "rows":
        names = ROWS[field.name]
        told = (", ".join(_shown_row([row[name] for name in names])) for row in value)
        return ("\n".join(told),) if value else ()
    if field.kind == "minutes":
        pairs = (f"{day} {value[day]}" for day in WEEKDAYS if day in value)
        return (", ".join(pairs),) if value else ()
    return (f"{value:g}" if isinstance(value, float) else str(value),)


def _shown_row(parts: list[Any]) -> list[str]:
    """Show a line's parts; what is missing at the end goes, in between it is a dash."""
    while parts and parts[-1] is None:
        parts = parts[:-1]
    return [NOTHING if part is None else _shown_part(part) for part in parts]


def _shown_part(value: Any) -> str:
    return f"{value:g}" if isinstance(value, float) else str(value)
