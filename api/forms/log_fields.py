"""The fields of the log's forms."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from mealplan.checkin.log.entries import (
    LIMBS,
    AnyEntry,
    GirthSite,
    Side,
)

Kind = Literal["text", "number", "date", "time", "choice", "scale", "tick"]
Typed = Mapping[str, str]


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
EATING = (
    DAY,
    LogField("until", "to, for several", "date"),
    LogField("adherence", "Went", "choice", options=("as planned", "roughly", "other")),
    LogField("kcal", "Energy, if counted", "number", unit="kcal"),
    LogField("what", "What was different", "text"),
)
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
TRAINING = (
    DAY,
    LogField("what", "What was done", "text", required=True),
    LogField("minutes", "Lasted", "number", unit="minutes"),
    LogField("net_kcal", "Energy above rest, if known", "number", unit="kcal"),
    LogField("effort", "Effort", "scale", ends=("very easy", "all out")),
)
STEPS = (DAY, LogField("count", "Steps of the whole day", "number", required=True))
SITES = get_args(GirthSite)
PLACES: tuple[tuple[GirthSite, Side | None], ...] = tuple(
    (site, side)
    for site in SITES
    for side in (("left", "right", None) if site in LIMBS else (None,))
)
"""Where a tape lies: limbs by side, or without one."""
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
RESTING = (
    DAY,
    LogField("kcal", "Resting energy", "number", unit="kcal a day", required=True),
    LogField(
        "fasted", "Eaten in the ten hours before", "choice", options=("not said", "no", "yes")
    ),
    LogField("device", "Device", "text"),
)
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
