"""What a typed field may hold: units, what a person could have, what is unusual enough to ask."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field

from mealplan.science.units import (
    CM_PER_INCH,
    KG_PER_LB,
    LB_PER_STONE,
    kcal_from_kj,
    kcal_from_mj,
)

_MASS = {
    "kg": 1.0, "kgs": 1.0, "kilo": 1.0, "kilos": 1.0, "kilogram": 1.0, "kilograms": 1.0,
    "kilogramm": 1.0, "g": 0.001, "grams": 0.001, "lb": KG_PER_LB, "lbs": KG_PER_LB,
    "pound": KG_PER_LB, "pounds": KG_PER_LB, "#": KG_PER_LB, "ib": KG_PER_LB, "ibs": KG_PER_LB,
    "st": KG_PER_LB * LB_PER_STONE, "stone": KG_PER_LB * LB_PER_STONE,
    "stones": KG_PER_LB * LB_PER_STONE, "stn": KG_PER_LB * LB_PER_STONE, "kilogramos": 1.0,
    "oz": KG_PER_LB / 16, "k": 1.0, "pfund": 0.5,
}  # fmt: skip
_LENGTH = {
    "cm": 1.0, "cms": 1.0, "centimetre": 1.0, "centimetres": 1.0, "centimeters": 1.0,
    "centimeter": 1.0, "m": 100.0, "metre": 100.0, "metres": 100.0, "meter": 100.0,
    "meters": 100.0, "mm": 0.1, "in": CM_PER_INCH, "ins": CM_PER_INCH, "inch": CM_PER_INCH,
    "inches": CM_PER_INCH, '"': CM_PER_INCH, "''": CM_PER_INCH, "ft": 12 * CM_PER_INCH,
    "foot": 12 * CM_PER_INCH, "feet": 12 * CM_PER_INCH, "'": 12 * CM_PER_INCH, "zoll": CM_PER_INCH,
    "mtr": 100.0, "mts": 100.0, "f": 12 * CM_PER_INCH,
}  # fmt: skip
_TIME = {
    "min": 1.0, "mins": 1.0, "minute": 1.0, "minutes": 1.0, "m": 1.0, "'": 1.0, "minuten": 1.0,
    "minutos": 1.0, "mn": 1.0, "h": 60.0, "hr": 60.0, "hrs": 60.0, "hour": 60.0, "hours": 60.0,
    "std": 60.0, "stunde": 60.0, "stunden": 60.0, "heure": 60.0, "heures": 60.0, "hora": 60.0,
    "horas": 60.0, "uur": 60.0, ":": 60.0, "s": 1 / 60, "sec": 1 / 60, "seconds": 1 / 60,
    '"': 1 / 60,
}  # fmt: skip
_PERCENT = {"%": 1.0, "percent": 1.0, "per cent": 1.0, "pct": 1.0, "prozent": 1.0, "cent": 1.0,
            "bf": 1.0}  # fmt: skip
_ENERGY = {"kcal": 1.0, "kcals": 1.0, "cal": 1.0, "cals": 1.0, "calories": 1.0, "kalorien": 1.0,
           "calorie": 1.0, "kilocalories": 1.0, "kj": kcal_from_kj(1.0), "mj": kcal_from_mj(1.0),
           "kilojoules": kcal_from_kj(1.0), "kilojoule": kcal_from_kj(1.0),
           "megajoules": kcal_from_mj(1.0), "joules": kcal_from_kj(0.001),
           "w": kcal_from_kj(86.4), "watt": kcal_from_kj(86.4),
           "watts": kcal_from_kj(86.4)}  # fmt: skip
_HOURS = {unit: minutes / 60 for unit, minutes in _TIME.items()} | {"days": 24.0, "day": 24.0}
_WEEKS = {"weeks": 1.0, "week": 1.0, "wk": 1.0, "wks": 1.0, "w": 1.0, "days": 1 / 7, "day": 1 / 7,
          "d": 1 / 7, "wochen": 1.0, "woche": 1.0, "semaines": 1.0, "semanas": 1.0, "weken": 1.0,
          "month": 365.25 / 84, "months": 365.25 / 84, "mo": 365.25 / 84, "mos": 365.25 / 84,
          "mths": 365.25 / 84, "monate": 365.25 / 84, "mois": 365.25 / 84, "meses": 365.25 / 84,
          "maanden": 365.25 / 84, "year": 365.25 / 7, "years": 365.25 / 7,
          "fortnights": 2.0, "fortnight": 2.0}  # fmt: skip
_YEARS = {"years": 1.0, "year": 1.0, "y": 1.0, "yr": 1.0, "yrs": 1.0, "yo": 1.0, "jahre": 1.0,
          "ans": 1.0, "anos": 1.0, "jaar": 1.0, "aged": 1.0, "age": 1.0, "months": 1 / 12,
          "month": 1 / 12, "j": 1.0, "years-old": 1.0}  # fmt: skip
_GAS = {"ml": 1.0, "l": 1000.0, "litre": 1000.0, "litres": 1000.0, "liter": 1000.0,
        "liters": 1000.0, "cc": 1.0, "mls": 1.0}  # fmt: skip
_LITRES = {"l": 1.0, "litre": 1.0, "litres": 1.0, "liter": 1.0, "liters": 1.0, "ml": 0.001,
           "cl": 0.01, "dl": 0.1, "pint": 0.568, "pints": 0.568, "oz": 0.0296}  # fmt: skip
_MONEY = dict.fromkeys(
    ("€", "$", "£", "eur", "euro", "euros", "usd", "dollars", "dollar", "gbp", "pounds", "quid",
     "chf", "fr", "sek", "nok", "dkk", "kr", "pln", "zl", "bucks", "cad", "aud", "francs", "fr.",
     "kronor", "kroner", "zloty"), 1.0)  # fmt: skip
_TIMES = dict.fromkeys(
    ("x", "times", "time", "sessions", "session", "workouts", "workout", "trainings", "training",
     "days", "day", "mal", "fois", "veces", "keer", "rides", "runs", "once", "twice", "people",
     "persons", "person", "meals", "meal", "of", "us", "things", "items", "trimester", "nd",
     "rd", "st", "th"), 1.0)  # fmt: skip
_SODIUM = {"mg": 1.0, "g": 1000.0, "mmol": 22.99}
_NITROGEN = {"g": 1.0, "gram": 1.0, "grams": 1.0, "mg": 0.001}

_A_DAY = {"day": 1.0, "d": 1.0, "min": 1440.0, "minute": 1440.0, "h": 24.0, "hour": 24.0,
          "hr": 24.0, "week": 1 / 7, "wk": 1 / 7, "24h": 1.0, "24": 1.0, "tag": 1.0, "jour": 1.0,
          "dia": 1.0, "dag": 1.0, "s": 86400.0, "sec": 86400.0}  # fmt: skip
_A_WEEK = {"week": 1.0, "wk": 1.0, "w": 1.0, "day": 7.0, "d": 7.0, "month": 84 / 365.25,
           "mo": 84 / 365.25, "mth": 84 / 365.25, "woche": 1.0, "semaine": 1.0, "semana": 1.0,
           "fortnight": 0.5, "year": 7 / 365.25, "monat": 84 / 365.25, "mois": 84 / 365.25,
           "mes": 84 / 365.25, "tag": 7.0, "weekly": 1.0}  # fmt: skip
_A_MINUTE = {"min": 1.0, "minute": 1.0, "m": 1.0, "h": 1 / 60, "hour": 1 / 60, "s": 60.0}
_AN_HOUR = {"h": 1.0, "hr": 1.0, "hour": 1.0, "min": 60.0}
_A_LITRE = {"l": 1.0, "litre": 1.0, "liter": 1.0, "ml": 1000.0}


@dataclass(frozen=True)
class TypedKind:
    """What a field holds."""

    unit: str
    units: Mapping[str, float]
    """Word of a unit to the field's own unit."""
    low: float
    high: float
    """What a person could have; decides what a comma means. [unit]"""
    example: str
    usual: tuple[float, float] = (-1e12, 1e12)
    """A number without a unit outside these is asked about; writing the unit settles it. [unit]"""
    otherwise: str = ""
    """Another unit it may have been, for the question."""
    per: Mapping[str, float] = field(default_factory=dict)
    """Word behind ``per`` or a stroke to the field's own time."""
    whole: bool = False
    """True when only whole numbers make sense; half ones are rounded down."""
    words: Mapping[str, float] = field(default_factory=dict)
    """Words that stand for a number. [unit]"""


_EVERYDAY = {
    "desk": 1.15, "sedentary": 1.15, "office": 1.15, "sitting": 1.15, "mixed": 1.3,
    "teacher": 1.3, "moderate": 1.3, "feet": 1.45, "standing": 1.35, "nurse": 1.45,
    "waiter": 1.45, "manual": 1.45, "active": 1.4, "light": 1.25, "buro": 1.15,
}  # fmt: skip
"""Everyday movement in words, as the form's own hint puts it (common practice)."""
_OFTEN = {"daily": 7.0, "everyday": 7.0, "every": 7.0, "none": 0.0, "never": 0.0, "taglich": 7.0}

KINDS: tuple[tuple[str, TypedKind], ...] = (
    ("height_cm", TypedKind("cm", _LENGTH, 100, 250, "170 cm, 1.70 m or 5 ft 7")),
    ("change_kg", TypedKind("kg", _MASS, -60, 60, "-3 kg or +2 kg")),
    ("before_kg", TypedKind("kg", _MASS, 25, 350, "62 kg or 137 lb", (30, 104), "lb")),
    ("after_kg", TypedKind("kg", _MASS, 25, 350, "62 kg or 137 lb", (30, 104), "lb")),
    ("weight_kg", TypedKind("kg", _MASS, 25, 350, "62 kg, 156 lb or 11 st 4", (35, 104), "lb")),
    ("bone_kg", TypedKind("kg", _MASS, 0.5, 10, "2.8 kg")),
    ("fat_kg", TypedKind("kg", _MASS, 0, 150, "12.4 kg", (1, 70), "lb")),
    ("_kg", TypedKind("kg", _MASS, 0, 350, "62 kg, 156 lb or 11 st 4")),
    ("waist_cm", TypedKind("cm", _LENGTH, 40, 200, "82 cm or 32 in", (50, 200), "in")),
    ("abdomen_cm", TypedKind("cm", _LENGTH, 40, 220, "82 cm or 32 in", (50, 220), "in")),
    ("hip_cm", TypedKind("cm", _LENGTH, 50, 220, "98 cm or 38 in", (60, 220), "in")),
    ("neck_cm", TypedKind("cm", _LENGTH, 20, 70, "36 cm or 14 in", (25, 70), "in")),
    ("_cm", TypedKind("cm", _LENGTH, 5, 250, "82 cm or 32 in")),
    ("resting_test.kcal", TypedKind("kcal", _ENERGY, 800, 4000, "1,420 kcal or 5.9 MJ",
                                    (900, 2800), "kJ", _A_DAY)),
    ("energy_kcal", TypedKind("kcal", _ENERGY, 300, 12000, "2,400 kcal or 10 MJ", (800, 6500),
                              "kJ", _A_DAY)),
    ("_kcal", TypedKind("kcal", _ENERGY, -3000, 12000, "1,420 kcal or 5.9 MJ", per=_A_DAY)),
    (".kcal", TypedKind("kcal", _ENERGY, 300, 12000, "1,420 kcal or 5.9 MJ", (800, 6500), "kJ",
                        _A_DAY)),
    ("percent_per_week", TypedKind("%", _PERCENT, -5, 5, "0.5 %", per=_A_WEEK)),
    ("fat_percent", TypedKind("%", _PERCENT, 3, 60, "18.5 %", (3.5, 50), "")),
    ("_percent", TypedKind("%", _PERCENT, -60, 100, "18.5 %")),
    ("vo2_ml_min", TypedKind("mL/min", _GAS, 130, 450, "250 mL/min or 0.25 L/min",
                             per=_A_MINUTE)),
    ("vco2_ml_min", TypedKind("mL/min", _GAS, 80, 450, "210 mL/min or 0.21 L/min",
                              per=_A_MINUTE)),
    ("_minutes", TypedKind("min", _TIME, 0, 1440, "45 min or 1 h 15")),
    ("minutes", TypedKind("min", _TIME, 0, 1440, "45 min or 1 h 15")),
    ("_min", TypedKind("min", _TIME, 0, 1440, "45 min or 1 h 15")),
    ("_hours", TypedKind("h", _HOURS, 0, 1000, "12 h")),
    ("hours_since_exercise", TypedKind("h", _HOURS, 0, 1000, "24 h")),
    ("hours_since_caffeine", TypedKind("h", _HOURS, 0, 1000, "24 h")),
    ("hours_since_nicotine", TypedKind("h", _HOURS, 0, 1000, "24 h")),
    ("sweat.hours", TypedKind("h", _HOURS, 0, 24, "1.5 h")),
    ("hours", TypedKind("h", _HOURS, 0, 1000, "1.5 h")),
    ("weeks", TypedKind("weeks", _WEEKS, 0, 520, "12 weeks or 3 months")),
    ("age_years", TypedKind("years", _YEARS, 1, 130, "28", (18, 100), "", whole=True)),
    ("_years", TypedKind("years", _YEARS, 1, 130, "28")),
    ("sessions_per_week", TypedKind("", _TIMES, 0, 21, "4", per=_A_WEEK, whole=True,
                                    words=_OFTEN)),
    ("budget_per_week", TypedKind("", _MONEY, 0, 100000, "60", per=_A_WEEK)),
    ("people", TypedKind("", _TIMES, 1, 12, "2", whole=True)),
    ("things_most", TypedKind("", _TIMES, 1, 300, "40", whole=True)),
    ("trimester", TypedKind("", _TIMES, 1, 3, "2", whole=True,
                            words={"first": 1, "second": 2, "third": 3})),
    ("everyday_factor", TypedKind("", {}, 1.0, 2.0, "1.3", words=_EVERYDAY)),
    ("pal", TypedKind("", {}, 1.0, 5.0, "1.75")),
    ("sodium_mg_per_l", TypedKind("mg/L", _SODIUM, 100, 3000, "900 mg/L", per=_A_LITRE)),
    ("rate_l_per_h", TypedKind("L/h", _LITRES, 0, 4, "0.9 L/h", per=_AN_HOUR)),
    ("_l", TypedKind("L", _LITRES, 0, 15, "0.5 L")),
    ("nitrogen_g_day", TypedKind("g/day", _NITROGEN, 0, 60, "12 g/day",
                                 per={"day": 1.0, "d": 1.0, "24h": 1.0})),
)  # fmt: skip
"""Ending of a field's name to what it holds; the first that fits counts."""
OTHER = TypedKind("", {}, -1e9, 1e9, "a number, such as 12.5")

SECOND = {
    "st": "lb", "stone": "lb", "stones": "lb", "stn": "lb", "ft": "in", "foot": "in",
    "feet": "in", "'": "in", "f": "in", "m": "cm", "metre": "cm", "meter": "cm", "h": "min",
    "hr": "min", "hrs": "min", "hour": "min", "hours": "min", "std": "min", ":": "min",
    "stunde": "min", "heure": "min", "uur": "min", "hora": "min", "lb": "oz", "lbs": "oz",
    "years": "months", "yrs": "months", "year": "months", "kg": "g", "min": "s", "mins": "s",
}  # fmt: skip
"""Unit of a number that follows one with this unit."""
MOST_OF_SECOND = {"lb": LB_PER_STONE, "in": 12.0, "cm": 100.0, "min": 60.0, "oz": 16.0,
                  "months": 12.0, "g": 1000.0, "s": 60.0}  # fmt: skip


def kind_of(name: str) -> TypedKind:
    """
    Find what a field holds by its name.

    Parameters
    ----------
    name : str
        Place in the intake, such as ``goal.change_kg``.

    Returns
    -------
    TypedKind
    """
    return next((kind for ending, kind in KINDS if name.endswith(ending)), OTHER)
