"""
The intake as a form: which fields, in which order, and how typed text becomes an intake's JSON.

A field is named by its place in the intake (``goal.change_kg``). Nothing is judged here: what does
not read as a number is passed on as typed, so that the intake's own message says how to mend it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any, Literal, get_args

from api.forms.sessions import LABELS, read_rows, shown_rows
from foods.catalogue import ALLERGENS
from mealplan.client.intake import (
    WEEKDAYS,
    DeficiencyAnswers,
    HealthFlag,
    Intake,
    Phase,
    ScanMethod,
    TrainingStatus,
)
from mealplan.client.session_lines import read_sessions
from mealplan.client.typed import read_quantity
from mealplan.client.typed_dates import read_typed_date
from mealplan.client.typed_lists import (
    read_clock_time,
    read_clock_times,
    read_food_words,
    read_minutes_by_day,
)
from mealplan.errors import IntakeError
from mealplan.nutrition.performance import performance_rows
from mealplan.physiology.guard.energy_deficiency import indicators

Kind = Literal[
    "text", "number", "date", "choice", "ticks", "flag", "words", "sessions", "minutes", "rows"
]
Typed = Mapping[str, tuple[str, ...]]


@dataclass(frozen=True)
class Field:
    """One question of the form."""

    name: str
    label: str
    kind: Kind
    unit: str = ""
    hint: str = ""
    options: tuple[tuple[str, str], ...] = ()
    required: bool = False
    usual: str = ""
    """What a new form starts with."""


@dataclass(frozen=True)
class FieldGroup:
    """Questions that belong together."""

    title: str
    fields: tuple[Field, ...]
    note: str = ""
    open: bool = True
    """False folds the group away until it is wanted."""

    def answered(self, typed: Typed) -> bool:
        """Say whether anything but the usual stands in it."""
        return any(
            any(typed.get(field.name, ())) and typed[field.name] != (field.usual,)
            for field in self.fields
        )


def _options(values: tuple[str, ...], blank: str = "") -> tuple[tuple[str, str], ...]:
    first = (("", blank),) if blank else ()
    return first + tuple((value, value.replace("_", " ")) for value in values)


_YES_NO = (("yes", "yes"), ("no", "no"))

_CARRIED = ("milk", "egg", "fish", "crustaceans")
"""Allergens of animal foods, which no dish holds."""

_WORDS_HINT = (
    "commas between: foods, groups, dishes, kinds of dish, traditions, textures (soupy, crisp) or "
    "heat (mild, hot)"
)

GROUPS: tuple[FieldGroup, ...] = (
    FieldGroup(
        "Who",
        (
            Field(
                "role",
                "What the client does",
                "text",
                hint="such as club rower; no name",
                required=True,
            ),
            Field(
                "sex",
                "Sex",
                "choice",
                hint="as the equations were fitted",
                options=(("female", "female"), ("male", "male")),
                required=True,
            ),
            Field("age_years", "Age", "number", unit="years", required=True),
            Field(
                "height_cm", "Height", "number", unit="cm", hint="or 1.70 m, 5 ft 7", required=True
            ),
            Field(
                "weight_kg",
                "Body mass",
                "number",
                unit="kg",
                hint="or 156 lb, 11 st 4",
                required=True,
            ),
            Field("start", "First day of the plan", "date", required=True),
            Field(
                "time_zone",
                "Time zone",
                "text",
                hint="such as Europe/Berlin; blank for this service's own",
            ),
            Field(
                "training_status",
                "Training experience",
                "choice",
                options=_options(get_args(TrainingStatus)),
                usual="intermediate",
            ),
            Field(
                "sessions_per_week",
                "Sessions a week",
                "number",
                hint="left out: those listed, else judged from the activity factor",
            ),
        ),
    ),
    FieldGroup(
        "Goal",
        (
            Field(
                "goal.phase", "Phase", "choice", options=_options(get_args(Phase)), required=True
            ),
            Field(
                "goal.change_kg",
                "Change of body mass",
                "number",
                unit="kg",
                hint="a minus for a loss",
            ),
            Field("goal.weeks", "over", "number", unit="weeks"),
            Field("goal.rate_percent_per_week", "or a rate", "number", unit="% a week"),
            Field(
                "goal.surplus_kcal",
                "or a surplus",
                "number",
                unit="kcal a day",
                hint="a minus for a deficit",
            ),
            Field("goal.surplus_percent", "or a surplus", "number", unit="% of total energy"),
            Field("goal.energy_kcal", "or energy you set yourself", "number", unit="kcal a day"),
        ),
        note="Say the goal in one way, or leave all blank for the phase's usual rate.",
    ),
    FieldGroup(
        "Activity",
        (
            Field(
                "activity.method",
                "How energy is counted",
                "choice",
                options=(("component", "movement and sessions"), ("multiplier", "one factor")),
                usual="component",
            ),
            Field(
                "activity.everyday_factor",
                "Everyday movement",
                "number",
                hint="1.15 at a desk, 1.25 to 1.35 mixed, 1.45 on the feet all day",
                usual="1.3",
            ),
            Field(
                "activity.sessions",
                "or one a line",
                "sessions",
                hint="day, clock time if known, sport, how long, how hard; such as "
                "mon, 17:30, easy run, 45 min or tue, strength, 1 h, hard",
            ),
            Field("activity.vary_by_day", "Eat more on harder days", "flag"),
            Field(
                "activity.pal",
                "One factor",
                "number",
                hint="only with one factor: 1.4 sitting, 1.75 training",
            ),
        ),
    ),
    FieldGroup(
        "Body scan",
        (
            Field("scan.date", "Date", "date"),
            Field(
                "scan.method", "Method", "choice", options=_options(get_args(ScanMethod), "none")
            ),
            Field("scan.fat_kg", "Fat", "number", unit="kg"),
            Field("scan.lean_soft_kg", "Lean soft tissue", "number", unit="kg"),
            Field("scan.bone_kg", "Bone mineral", "number", unit="kg"),
            Field("scan.fat_percent", "or body fat", "number", unit="%"),
        ),
    ),
    FieldGroup(
        "Sweat and races",
        (
            Field(
                "sweat.amount",
                "Sweat in training",
                "choice",
                options=_options(("light", "usual", "heavy")),
                usual="usual",
            ),
            Field("sweat.rate_l_per_h", "or as measured", "number", unit="L/h"),
            Field("sweat.before_kg", "or weighed: before", "number", unit="kg"),
            Field("sweat.after_kg", "after", "number", unit="kg"),
            Field("sweat.drunk_l", "drunk meanwhile", "number", unit="L"),
            Field("sweat.hours", "in how long", "number", unit="h"),
            Field("sweat.sodium_mg_per_l", "Sodium in sweat, if known", "number", unit="mg/L"),
            Field(
                "events",
                "Races",
                "rows",
                hint="one a line: name, date, minutes, and the time it starts: triathlon, "
                "2027-06-13, 310, 08:00",
            ),
            Field(
                "nutrition.performance",
                "Lines for training and races, all off",
                "ticks",
                options=_options(tuple(performance_rows())),
            ),
        ),
        open=False,
    ),
    FieldGroup(
        "Laboratory resting test",
        (
            Field("resting_test.date", "Date", "date"),
            Field("resting_test.kcal", "Resting energy", "number", unit="kcal a day"),
            Field("resting_test.vo2_ml_min", "or oxygen taken up", "number", unit="mL/min"),
            Field(
                "resting_test.vco2_ml_min", "and carbon dioxide given off", "number", unit="mL/min"
            ),
            Field("resting_test.fasted_hours", "Hours since eating", "number", unit="h"),
            Field("resting_test.rested_minutes", "Quiet rest before", "number", unit="min"),
            Field("resting_test.hours_since_exercise", "Hours since training", "number", unit="h"),
            Field("resting_test.hours_since_caffeine", "Hours since caffeine", "number", unit="h"),
            Field("resting_test.hours_since_nicotine", "Hours since nicotine", "number", unit="h"),
            Field("resting_test.cv_percent", "Variation between minutes", "number", unit="%"),
            Field("resting_test.device", "Device", "text"),
        ),
    ),
    FieldGroup(
        "Signs of too little energy",
        (
            *(
                Field(f"deficiency.{one.key}", one.question, "choice", options=_YES_NO)
                for one in indicators("female")  # hers are all there are
                if one.key in DeficiencyAnswers.model_fields
            ),
        ),
        note="Left open means not asked. A yes goes to a physician and a sports dietitian.",
        open=False,
    ),
    FieldGroup(
        "Health",
        (
            Field("health", "What applies", "ticks", options=_options(get_args(HealthFlag))),
            Field(
                "bloods",
                "Blood tests",
                "rows",
                hint="one a line: what (ferritin, vitamin_b12, vitamin_d, haemoglobin, tsh ...), "
                "date, value, unit, the laboratory's low and high: ferritin, 2026-11-02, 14, "
                "ug/L, 15, 150",
            ),
            Field("pregnancy_trimester", "Trimester of a pregnancy", "number", hint="1, 2 or 3"),
            Field(
                "weight_before_pregnancy_kg", "Body mass before the pregnancy", "number", unit="kg"
            ),
            Field("guardian_agrees", "Under 18: a guardian agrees", "flag"),
            Field(
                "professional_overrides",
                "A professional's decisions",
                "rows",
                hint="one a line: the reason, the code in square brackets, who decided (physician, "
                "registered dietitian), until which date: 2027-06-30",
            ),
            Field("hide_numbers", "Keep weights and calories from the client", "flag"),
        ),
        note="Some of these stop a plan until a physician or registered dietitian has had a say.",
        open=False,
    ),
    FieldGroup(
        "Food",
        (
            Field(
                "tastes.allergies",
                "Must be absent",
                "ticks",
                options=_options(tuple(a for a in ALLERGENS if a not in _CARRIED)),
            ),
            Field(
                "tastes.oats_ok_when_gluten_free", "Certified oats are fine without gluten", "flag"
            ),
            Field("tastes.never", "Never", "words", hint=_WORDS_HINT),
            Field("tastes.dislikes", "Rather not", "words", hint="only if little else is possible"),
            Field("tastes.seldom", "Now and then", "words"),
            Field("tastes.likes", "Gladly", "words"),
            Field("tastes.favourites", "Most of all", "words"),
            Field(
                "tastes.heat_max",
                "Chilli heat",
                "choice",
                options=(("0", "none"), ("1", "mild"), ("2", "hot"), ("3", "very hot")),
                usual="3",
            ),
        ),
    ),
    FieldGroup(
        "Kitchen",
        (
            Field(
                "kitchen.meals",
                "Meals a day",
                "choice",
                options=(("3", "3"), ("4", "4"), ("5", "5"), ("6", "6")),
                usual="4",
            ),
            Field(
                "kitchen.meal_times",
                "Clock times",
                "words",
                hint="one a meal, such as 07:30, 12:30, 16:00, 19:00",
            ),
            Field(
                "kitchen.hands_on_min",
                "Most minutes hands-on",
                "minutes",
                hint="such as mon 30, tue 30, sat 90",
            ),
            Field("kitchen.leftovers", "Kept portions are fine", "flag", usual="yes"),
            Field(
                "kitchen.living.variety",
                "How varied",
                "choice",
                options=(
                    ("steady", "steady: few dishes, a short list"),
                    ("usual", "usual"),
                    ("adventurous", "adventurous: many dishes, a long list"),
                ),
                usual="usual",
            ),
            Field("kitchen.living.same_breakfast_on_weekdays", "One breakfast on weekdays", "flag"),
            Field(
                "kitchen.living.cooking_days",
                "Days on which dinners are cooked",
                "words",
                hint="in pots for the days after, such as sun, wed; empty for any day",
            ),
            Field(
                "kitchen.living.with_kettle",
                "Eaten away with a kettle or microwave",
                "words",
                hint="such as weekdays midday, tue evening",
            ),
            Field(
                "kitchen.living.with_nothing",
                "Eaten away with nothing to heat it",
                "words",
                hint="such as mon midday, daily small",
            ),
            Field(
                "kitchen.living.on_the_move",
                "Eaten on the move",
                "words",
                hint="such as sat midday",
            ),
            Field(
                "kitchen.living.things_most",
                "Most things to buy a week",
                "number",
                hint="what suits the variety when left out",
            ),
            Field(
                "nutrition.daily_floors",
                "Vitamins and minerals every day, not over the week",
                "flag",
            ),
            Field("kitchen.rings", "Pots the hob takes at once", "number", usual="3"),
            Field("kitchen.people", "People to cook for", "number", usual="1"),
            Field(
                "kitchen.units",
                "Packs in the shop",
                "choice",
                options=(("metric", "grams and kilograms"), ("us", "ounces and pounds")),
                usual="metric",
            ),
        ),
    ),
    FieldGroup(
        "Cupboard and purse",
        (
            Field(
                "kitchen.cupboard",
                "At home already",
                "rows",
                hint="one a line: food, grams as bought; such as chickpeas_canned, 800",
            ),
            Field("kitchen.shop.well_stocked", "Shops with foods of many traditions near", "flag"),
            Field("kitchen.shop.budget_per_week", "Most the week's food may be worth", "number"),
            Field("kitchen.shop.currency", "Currency", "text", hint="such as EUR", usual="EUR"),
            Field(
                "kitchen.shop.prices",
                "Prices",
                "rows",
                hint="one a line: food, grams in the pack, price; such as lentils_red_dry, 500, "
                "1.90",
            ),
        ),
        note="What is at home is planned first. A budget needs prices; it is for all who eat.",
        open=False,
    ),
)
"""The form from top to bottom."""

NOTHING = "-"
"""A part of a line that is left out."""

ROWS: Mapping[str, tuple[str, ...]] = {
    "kitchen.cupboard": ("food", "grams"),
    "kitchen.shop.prices": ("food", "size_g", "price"),
    "bloods": ("analyte", "date", "value", "unit", "low", "high"),
    "events": ("name", "date", "minutes", "time"),
    "professional_overrides": ("reason", "finding", "by", "until"),
}
"""What the parts of a line are: words that may hold commas, then parts that do not."""

FIELDS: dict[str, Field] = {field.name: field for group in GROUPS for field in group.fields}


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
        For :func:`mealplan.client.intake.parse_intake`.

    Raises
    ------
    FormFaults
        With what does not read, by field.
    """
    data: dict[str, Any] = {}
    faults: dict[str, str] = {}
    for name, field in FIELDS.items():
        try:
            value = _value(field, typed.get(name, ()))
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
    _settle_activity(data)
    return _overlay(dict(before or {}), data)


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


def _value(field: Field, values: tuple[str, ...]) -> Any:
    texts = [text.strip() for text in values if text.strip()]
    if field.kind == "ticks":
        return texts
    if field.kind == "flag":
        return bool(texts)
    text = texts[0] if texts else ""
    if field.name == "kitchen.meal_times":
        return read_clock_times(text)
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


_READ_AS = {
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
