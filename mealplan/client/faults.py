"""
What is wrong with a typed intake, in one line that says what, why and how to mend it.

The checking itself is pydantic's and the models'; this module only finds the words. Nothing here
decides whether a value is right.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from difflib import get_close_matches
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from foods.registry.typed import LONGEST_WORD

MOST_FAULTS = 3
"""Faults said at once; the rest are counted."""

_UNION_TAGS = frozenset({"multiplier", "component"})
"""Steps pydantic puts into a place that the reader never typed."""

MENDING: Mapping[str, str] = {
    "age_years": "whole years since birth",
    "budget_per_week": "an amount of money a week in the household's currency",
    "bone_kg": "bone mineral in kilograms; divide the report's grams by 1000",
    "by": "the professional's role, such as sports dietitian",
    "change_kg": (
        "kilograms to gain, or to lose with a minus before them; for pounds multiply by 0.4536"
    ),
    "cv_percent": "percent of variation between the test's minutes, such as 6",
    "device": "a few words, such as canopy, university laboratory",
    "everyday_factor": (
        "everyday movement without training: 1.15 at a desk, 1.45 on the feet all day"
    ),
    "energy_kcal": "kilocalories a day; divide kilojoules by 4.184",
    "fasted_hours": "hours since the last meal",
    "fat_kg": "kilograms of fat; divide the report's grams by 1000",
    "fat_percent": "percent, such as 18.4; multiply a share such as 0.184 by 100",
    "grams": "grams as bought",
    "hands_on_min": "minutes of hands-on cooking, 5 to 600",
    "heat_max": "0 no chilli, 1 mild, 2 hot, 3 very hot",
    "high": "an amount a day in the nutrient's own unit",
    "high_g_per_kg": "grams of protein a kilogram a day, such as 2.2",
    "lean_soft_kg": "kilograms of lean soft tissue; divide the report's grams by 1000",
    "low": "an amount a day in the nutrient's own unit",
    "low_g_per_kg": "grams of protein a kilogram a day, such as 1.6",
    "meals": "3 to 6 meals a day, small ones counted",
    "met": "multiples of resting energy, as `mealplan activities` lists them",
    "minutes": "minutes, not hours: an hour and a half is 90",
    "pal": "total energy over resting energy: 1.4 sitting, 1.75 training, above 2.5 only in camps",
    "people": "how many eat from the list",
    "price": "what the pack costs, digits with a decimal point",
    "rate_percent_per_week": "percent of body mass a week, such as 0.25, with a minus for loss",
    "reason": "why, in a sentence",
    "rms_sd_fat_kg": "kilograms, from the laboratory's repeated scans",
    "role": "what the client does, such as club rower",
    "schema_version": "this program reads version 1",
    "seed": "a whole number; another one gives another week",
    "sessions_per_week": "training sessions in a week, at most three a day",
    "size_g": "grams in the pack as bought",
    "surplus_kcal": "kilocalories a day above total energy, with a minus for a deficit",
    "surplus_percent": "percent above total energy, with a minus for a deficit",
    "urinary_nitrogen_g_day": "grams a day",
    "vco2_ml_min": "millilitres a minute; multiply litres by 1000",
    "vo2_ml_min": "millilitres a minute; multiply litres by 1000",
    "weeks": "how long the change may take, up to 104 weeks",
}
"""How to write a field, by its name."""

EXAMPLES: Mapping[str, str] = {
    "activity": '{"method": "multiplier", "pal": 1.75}',
    "age_years": "28",
    "date": '"2026-11-20"',
    "day": '"mon"',
    "goal": '{"phase": "gain", "change_kg": 3, "weeks": 12}',
    "height_cm": "180 (or height_in)",
    "method": '"dxa"',
    "minutes": "60",
    "pal": "1.75",
    "phase": '"hold"',
    "prices": '[{"food": "chickpeas_canned", "size_g": 400, "price": 0.90}]',
    "role": '"club rower"',
    "sex": '"female"',
    "start": '"2026-11-30"',
    "time": '"17:30"',
    "until": '"2027-01-31"',
    "weight_kg": "80 (or weight_lb)",
}
"""What a missing field could look like."""


def shown(value: object) -> str:
    """
    Write a typed value short and on one line.

    Parameters
    ----------
    value : object
        What was given.
    """
    text = repr(value)
    return text if len(text) <= 40 else text[:37] + "..."


def _model_at(model: type[BaseModel], place: tuple[int | str, ...]) -> type[BaseModel] | None:
    """Find the part of the intake that a place lies in, to offer its field names."""
    current: type[BaseModel] | None = model
    for step in place:
        if current is None or isinstance(step, int) or step in _UNION_TAGS:
            continue
        field = current.model_fields.get(step)
        current = None if field is None else _inner(field.annotation, place)
    return current


def _inner(annotation: Any, place: tuple[int | str, ...]) -> type[BaseModel] | None:
    """Find the model inside an annotation such as ``tuple[Session, ...]`` or ``Scan | None``."""
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        return annotation
    found = [inner for part in get_args(annotation) if (inner := _inner(part, place)) is not None]
    for inner in found:
        tag = inner.model_fields.get("method")
        if len(found) > 1 and tag is not None and set(get_args(tag.annotation)) & set(place):
            return inner
    return found[0] if len(found) == 1 else None


def _out_of_range(item: Mapping[str, Any], name: str) -> str:
    context = item["ctx"]
    kind = item["type"]
    words, limit = {
        "greater_than_equal": ("is below", context.get("ge")),
        "greater_than": ("must be above", context.get("gt")),
        "less_than_equal": ("is above", context.get("le")),
        "less_than": ("must be below", context.get("lt")),
    }[kind]
    mend = MENDING.get(name, "another number, or check its unit")
    return f"={shown(item['input'])} {words} {limit:g}; give {mend}"


def _literal(item: Mapping[str, Any]) -> str:
    choices = item.get("ctx", {}).get("expected") or item.get("ctx", {}).get("expected_tags", "")
    typed = item["ctx"]["tag"] if item["type"] == "union_tag_invalid" else item["input"]
    names = [word.strip(" '") for word in choices.replace(" or ", ", ").split(",")]
    near = (
        get_close_matches(typed.lower()[:LONGEST_WORD], names, n=1)
        if isinstance(typed, str)
        else []
    )
    hint = f"; did you mean '{near[0]}'?" if near else ";"
    return f" is {shown(typed)}{hint} choose {choices}"


def _unknown_field(model: type[BaseModel], item: Mapping[str, Any]) -> str:
    *parents, name = item["loc"]
    part = _model_at(model, tuple(parents))
    known = list(part.model_fields) if part is not None else []
    if part is model:
        known += ["weight_lb", "height_in"]
    near = get_close_matches(str(name)[:LONGEST_WORD], known, n=1, cutoff=0.5)
    if near:
        return f" is not a field here; did you mean {near[0]}?"
    return " is not a field here; take it out or check its spelling" + (
        f" ({', '.join(known)})" if 0 < len(known) <= 12 else ""
    )


_PLAIN: Mapping[str, str] = {
    "bool_parsing": "should be true or false, without quotes",
    "bool_type": "should be true or false, without quotes",
    "date_from_datetime_parsing": 'should be a date written year-month-day, such as "2026-11-30"',
    "date_parsing": 'should be a date written year-month-day, such as "2026-11-30"',
    "date_type": 'should be a date written year-month-day, such as "2026-11-30"',
    "date_from_datetime_inexact": 'should be a date without a time, such as "2026-11-30"',
    "dict_type": "should be an object in braces",
    "finite_number": "is not a number an intake can hold; give digits",
    "float_parsing": "should be a number, without quotes or a unit",
    "float_type": "should be a number, without quotes or a unit",
    "int_from_float": "should be a whole number",
    "int_parsing": "should be a number, without quotes or a unit",
    "int_parsing_size": "is far too large",
    "int_type": "should be a number, without quotes or a unit",
    "model_attributes_type": "should be an object in braces with its fields inside",
    "model_type": "should be an object in braces with its fields inside",
    "string_too_long": "is too long",
    "string_too_short": "is too short",
    "string_type": "should be words in quotes",
    "string_unicode": "holds signs that are not text; type it again",
    "tuple_type": 'should be a list in square brackets, such as ["soy"]',
}


def _one(model: type[BaseModel], item: Mapping[str, Any]) -> str:
    steps = [
        step if step.isidentifier() or step.isdigit() else shown(step)
        for step in map(str, item["loc"])
        if step not in _UNION_TAGS and step != "[key]"
    ]
    place = ".".join(steps)
    named = [step for step in steps if not step.isdigit()]
    name = named[-1] if named else ""
    kind: str = item["type"]
    if kind in ("value_error", "assertion_error"):
        message: str = item["msg"].partition(", ")[2]
        if not name:
            return message
        if message.startswith(("should", "is ", "holds")):
            mend = f" ({MENDING[name]})" if name in MENDING else ""
            return f"{place} {message}{mend}"
        # A check that names its field itself is not told the name twice.
        return (
            f"{place.removesuffix(name)}{message}"
            if message.startswith(f"{name}=")
            else f"{place}: {message}"
        )
    if kind == "missing":
        example = f", such as {EXAMPLES[name]}" if name in EXAMPLES else ""
        return f"{place} is missing; add it{example}"
    special: Mapping[str, Callable[[], str]] = {
        "extra_forbidden": lambda: _unknown_field(model, item),
        "literal_error": lambda: _literal(item),
        "union_tag_invalid": lambda: ".method" + _literal(item),
        "union_tag_not_found": lambda: ".method is missing; choose 'multiplier' or 'component'",
        "greater_than": lambda: _out_of_range(item, name),
        "greater_than_equal": lambda: _out_of_range(item, name),
        "less_than": lambda: _out_of_range(item, name),
        "less_than_equal": lambda: _out_of_range(item, name),
    }
    if kind in special:
        return place + special[kind]()
    message = _PLAIN.get(kind, str(item["msg"][:1].lower() + item["msg"][1:]))
    hint = MENDING.get(name)
    if kind in ("string_too_long", "string_too_short"):
        limit = item["ctx"].get("max_length", item["ctx"].get("min_length"))
        message += f" ({'at most' if kind == 'string_too_long' else 'at least'} {limit} letters)"
    return f"{place}={shown(item['input'])} {message}" + (f": {hint}" if hint else "")


def plain_faults(model: type[BaseModel], error: ValidationError) -> str:
    """
    Say the first faults of a refused intake in one line a reader can act on.

    Parameters
    ----------
    model : type of BaseModel
        What was to be read, for the names of its fields.
    error : ValidationError
        Why it was refused.

    Returns
    -------
    str
        At most three faults, each with its place and value; the rest are counted.
    """
    items = error.errors(include_url=False)
    said = [_one(model, item) for item in items[:MOST_FAULTS]]
    more = len(items) - len(said)
    return "; ".join(said) + (f"; and {more} more" if more > 0 else "")
