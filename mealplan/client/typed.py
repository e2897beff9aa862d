"""
Numbers as people write them: "62 kg", "11 st 4", "1,70 m", "5 ft 7", "18,5 %", "1 420 kcal".

A field's name ends in the unit the program keeps (``weight_kg``), so the name says what to turn a
typed quantity into. Where a comma or point could be two things, the one a person could have is
taken; where both could be, it is asked. Text is read from left to right, and only so much of it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from mealplan.errors import IntakeError
from mealplan.units import (
    CM_PER_INCH,
    KG_PER_LB,
    LB_PER_STONE,
    kcal_from_kj,
    kcal_from_mj,
)

LONGEST_TYPED = 60
"""Longest text of one quantity. [characters]"""


@dataclass(frozen=True)
class TypedQuantity:
    """A typed quantity as it was understood."""

    value: float
    """In the field's own unit."""
    unit: str
    shown: str
    """As it is shown back, such as ``71.7 kg``."""


_MASS = {
    "kg": 1.0, "kgs": 1.0, "kilo": 1.0, "kilos": 1.0, "kilogram": 1.0, "kilograms": 1.0,
    "g": 0.001, "lb": KG_PER_LB, "lbs": KG_PER_LB, "pound": KG_PER_LB, "pounds": KG_PER_LB,
    "st": KG_PER_LB * LB_PER_STONE, "stone": KG_PER_LB * LB_PER_STONE,
    "stones": KG_PER_LB * LB_PER_STONE,
}  # fmt: skip
_LENGTH = {
    "cm": 1.0, "cms": 1.0, "centimetre": 1.0, "centimetres": 1.0, "centimeters": 1.0, "m": 100.0,
    "metre": 100.0, "metres": 100.0, "meter": 100.0, "meters": 100.0, "mm": 0.1,
    "in": CM_PER_INCH, "inch": CM_PER_INCH, "inches": CM_PER_INCH, '"': CM_PER_INCH,
    "''": CM_PER_INCH, "ft": 12 * CM_PER_INCH, "foot": 12 * CM_PER_INCH,
    "feet": 12 * CM_PER_INCH, "'": 12 * CM_PER_INCH,
}  # fmt: skip
_TIME = {
    "min": 1.0, "mins": 1.0, "minute": 1.0, "minutes": 1.0, "m": 1.0, "'": 1.0, "h": 60.0,
    "hr": 60.0, "hrs": 60.0, "hour": 60.0, "hours": 60.0, "std": 60.0, ":": 60.0,
}  # fmt: skip
_PERCENT = {"%": 1.0, "percent": 1.0, "per cent": 1.0, "pct": 1.0}
_ENERGY = {"kcal": 1.0, "kcals": 1.0, "cal": 1.0, "cals": 1.0, "calories": 1.0,
           "kj": kcal_from_kj(1.0), "mj": kcal_from_mj(1.0)}  # fmt: skip
_HOURS = {unit: minutes / 60 for unit, minutes in _TIME.items()}
_WEEKS = {"weeks": 1.0, "week": 1.0, "wk": 1.0, "wks": 1.0, "w": 1.0, "days": 1 / 7}
_YEARS = {"years": 1.0, "year": 1.0, "y": 1.0, "yr": 1.0, "yrs": 1.0, "yo": 1.0}
_SECOND = {"st": "lb", "stone": "lb", "stones": "lb", "ft": "in", "foot": "in", "feet": "in",
           "'": "in", "m": "cm", "h": "min", "hr": "min", "hour": "min", "hours": "min",
           ":": "min"}  # fmt: skip
"""Unit of a number that follows one with this unit."""


@dataclass(frozen=True)
class _Kind:
    unit: str
    units: dict[str, float]
    low: float
    high: float
    """What a person could have; decides what a comma means. [unit]"""
    example: str


_KINDS: tuple[tuple[str, _Kind], ...] = (
    ("height_cm", _Kind("cm", _LENGTH, 100, 250, "170 cm, 1.70 m or 5 ft 7")),
    ("change_kg", _Kind("kg", _MASS, -60, 60, "-3 kg or +2 kg")),
    ("weight_kg", _Kind("kg", _MASS, 25, 350, "62 kg, 156 lb or 11 st 4")),
    ("bone_kg", _Kind("kg", _MASS, 0.5, 10, "2.8 kg")),
    ("_kg", _Kind("kg", _MASS, 0, 350, "62 kg, 156 lb or 11 st 4")),
    ("_cm", _Kind("cm", _LENGTH, 5, 250, "82 cm or 32 in")),
    ("_kcal", _Kind("kcal", _ENERGY, -3000, 12000, "1,420 kcal or 5.9 MJ")),
    (".kcal", _Kind("kcal", _ENERGY, 300, 12000, "1,420 kcal or 5.9 MJ")),
    ("percent_per_week", _Kind("%", _PERCENT, -5, 5, "0.5 %")),
    ("fat_percent", _Kind("%", _PERCENT, 2, 75, "18.5 %")),
    ("_percent", _Kind("%", _PERCENT, -60, 100, "18.5 %")),
    ("_minutes", _Kind("min", _TIME, 0, 1440, "45 min or 1 h 15")),
    ("minutes", _Kind("min", _TIME, 0, 1440, "45 min or 1 h 15")),
    ("_hours", _Kind("h", _HOURS, 0, 1000, "12 h")),
    ("weeks", _Kind("weeks", _WEEKS, 0, 520, "12 weeks")),
    ("_years", _Kind("years", _YEARS, 1, 130, "28")),
)
"""Ending of a field's name to what it holds; the first that fits counts."""
_OTHER = _Kind("", {}, -1e9, 1e9, "a number, such as 12.5")


def read_quantity(field: str, text: str) -> TypedQuantity:
    """
    Read a number as it was typed into a field.

    Parameters
    ----------
    field : str
        Place in the intake, such as ``weight_kg``, ``girths.waist_cm`` or ``goal.change_kg``.
    text : str
        Such as ``11 st 4`` or ``1,70 m``.

    Returns
    -------
    TypedQuantity
        In the field's own unit.

    Raises
    ------
    IntakeError
        In the words of the page: what was typed, why it does not read, how to write it.
    """
    kind = next((kind for ending, kind in _KINDS if field.endswith(ending)), _OTHER)
    typed = " ".join(text.split())
    if not typed or len(typed) > LONGEST_TYPED:
        raise IntakeError(f"write {kind.example}; {len(typed):,} letters were typed")
    sign, terms = _terms(typed, kind)
    if sign < 0 and kind.low >= 0:
        raise IntakeError(f"“{typed}” is below nothing; write {kind.example}")
    value = sign * _sum(terms, kind, typed)
    return TypedQuantity(value, kind.unit, f"{value:,.4g} {kind.unit}".strip())


_SIGNS = {"-": -1, "−": -1, "–": -1, "+": 1, "minus": -1, "lose": -1, "loss": -1, "plus": 1,
          "gain": 1}  # fmt: skip
_FILLER = frozenset(["about", "around", "ca", "approx", "a", "day", "of", "old", "and", "per",
                     "week", "times", "x", "~", "≈", "at", "rest", "body", "fat"])  # fmt: skip


def _terms(text: str, kind: _Kind) -> tuple[int, list[tuple[str, str]]]:
    """Cut text into numbers as typed, each with the unit behind it."""
    sign = 1
    terms: list[tuple[str, str]] = []
    for token in _tokens(text.lower()):
        if token[0].isdigit():
            terms.append((token, ""))
        elif token in _SIGNS and not terms:
            sign = _SIGNS[token]
        elif token in kind.units and terms and not terms[-1][1]:
            terms[-1] = (terms[-1][0], token)
        elif token == "-" and terms:
            continue
        elif token.rstrip(".") in kind.units and terms and not terms[-1][1]:
            terms[-1] = (terms[-1][0], token.rstrip("."))
        elif token not in _FILLER and (kind.units or token.isdigit()):
            raise IntakeError(f"“{text}” does not read here; write {kind.example}")
    if not terms:
        raise IntakeError(f"“{text}” holds no number; write {kind.example}")
    return sign, terms


def _tokens(text: str) -> list[str]:
    found: list[str] = []
    kind = ""
    for place, letter in enumerate(text):
        following = text[place + 1 : place + 2]
        if (
            (letter.isdigit() and letter.isascii())
            or (letter in ".,'’" and kind == "number" and _inside(text, place))
            or (letter == " " and kind == "number" and _groups(text, place))
        ):
            now = "number"
        elif letter.isalpha() or (letter == "." and kind == "word"):
            now = "word"
        elif letter.isspace():
            now = ""
        elif letter in "'’\"”″′%:+-−–~≈":
            now = "mark"
            letter = {"’": "'", "′": "'", "”": '"', "″": '"'}.get(letter, letter)
        else:
            now = "mark" if following else ""
        if now and (now == kind and now != "mark") and found:
            found[-1] += letter
        elif now:
            found.append(letter)
        kind = now
    return [token.rstrip(".,") or token for token in found]


def _inside(text: str, place: int) -> bool:
    """Say whether a mark between digits belongs to the number."""
    following = text[place + 1 : place + 2]
    if not following.isdigit():
        return False
    return text[place] in ".," or _groups(text, place)


def _groups(text: str, place: int) -> bool:
    """Say whether exactly three digits follow, as behind the mark of thousands."""
    digits = 0
    while digits < 4 and text[place + 1 + digits : place + 2 + digits].isdigit():
        digits += 1
    before = 0
    while before < 4 and text[place - 1 - before : place - before].isdigit():
        before += 1
    return digits == 3 and 1 <= before <= 3 and place - before >= 0


def _readings(number: str) -> tuple[float, ...]:
    """Give what a typed number may mean, the likelier first."""
    plain = number.replace(" ", "").replace("'", "").replace("’", "")
    marks = [sign for sign in plain if sign in ".,"]
    if not marks:
        return (float(plain),)
    if len(set(marks)) == 2:  # the last one is the decimal mark
        last = marks[-1]
        other = "," if last == "." else "."
        if marks.count(last) > 1:
            return ()
        return (float(plain.replace(other, "").replace(last, ".")),)
    if len(marks) > 1:
        groups = plain.replace(",", ".").split(".")
        return (float("".join(groups)),) if all(len(g) == 3 for g in groups[1:]) else ()
    whole, behind = plain.replace(",", ".").split(".")
    decimal = float(f"{whole or 0}.{behind or 0}")
    if len(behind) == 3 and 1 <= len(whole) <= 3 and whole != "0":
        thousands = float(whole + behind)
        return (thousands, decimal) if marks[0] == "," else (decimal, thousands)
    return (decimal,)


def _sum(terms: Sequence[tuple[str, str]], kind: _Kind, typed: str) -> float:
    if not kind.units:
        values = _readings(terms[0][0]) if len(terms) == 1 else ()
        if not values or (len(values) > 1):
            raise IntakeError(f"“{typed}” is not one number; write {kind.example}")
        return values[0]
    if len(terms) > 2:
        raise IntakeError(f"“{typed}” holds {len(terms)} numbers; write {kind.example}")
    first, unit = terms[0]
    if len(terms) == 2 and not unit and kind.unit == "cm":
        unit = "ft" if _readings(first)[:1] < (9.0,) else ""
    options = [value * kind.units.get(unit, 1.0) for value in _readings(first)]
    if not unit and kind.unit == "cm" and kind.low >= 100:
        options = [value * 100 if value < 3 else value for value in options]
    if len(terms) == 2:
        options = [value + _second(terms[1], unit, kind, typed) for value in options]
    fits = [value for value in options if kind.low <= value <= kind.high]
    if len(fits) == 1 or (fits and fits[0] == fits[-1]):
        return fits[0]
    if fits:
        raise IntakeError(
            f"“{typed}” may be {fits[0]:,g} or {fits[1]:,g} {kind.unit}; write it without the "
            "mark of thousands"
        )
    if not options:
        raise IntakeError(f"“{typed}” is not one number; write {kind.example}")
    raise IntakeError(
        f"“{typed}” would be {options[0]:,.4g} {kind.unit}, outside {kind.low:,g} to "
        f"{kind.high:,g}; write {kind.example}"
    )


def _second(term: tuple[str, str], before: str, kind: _Kind, typed: str) -> float:
    """Read what follows stones, feet, metres or hours."""
    number, unit = term
    expected = _SECOND.get(before, "")
    values = _readings(number)
    if not expected or not values:
        raise IntakeError(f"“{typed}” holds two numbers; write {kind.example}")
    if kind.unit == "min" and before == "m":
        raise IntakeError(f"“{typed}” holds two numbers; write {kind.example}")
    most = {"lb": LB_PER_STONE, "in": 12.0, "cm": 100.0, "min": 60.0}[expected]
    clock = before == ":" and unit in ("h", "hr", "hour", "hours")
    factor = kind.units.get(expected if clock else unit or expected, 0.0)
    unit = "" if clock else unit
    if values[0] >= most or (unit and factor != kind.units[expected]):
        raise IntakeError(
            f"“{typed}”: what follows {before} is less than {most:g} {expected}; write "
            f"{kind.example}"
        )
    return values[0] * factor
