"""
What one cell says of an amount: its numbers as written, their units, and the words around them.

Whether a mark is the decimal one hangs on what the column holds, so numbers stay digits here until
:func:`values_of` is asked.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Literal

from mealplan.checkin.table.words import ABOUT, LONGEST_CELL, UNIT_WORDS, folded, is_nothing

Shape = Literal["nothing", "words", "one", "span", "range", "several"]
NUMBER = re.compile(r"\d+(?:[.,']\d+| \d{3}(?!\d))*")
HALF = re.compile(r"(?:(\d+)[ -])?(\d{1,2})/(\d{1,2})(?!\d)")
FRACTIONS = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8", "⅜": "3/8",
             "⅝": "5/8", "⅞": "7/8"}  # fmt: skip
TO = frozenset(
    ("-", "to", "bis", "a", "/", "..", "...", "or", "oder", "ou", "und", "and", "al", "tot")
)
MOST_PARTS = 12
"""Numbers looked at in one cell."""


@dataclass(frozen=True)
class Part:
    """One number as written, what a vulgar fraction adds to it, and its unit."""

    digits: str
    unit: str | None = None
    fraction: float = 0.0
    given: float | None = None
    """The value itself, where it was put together from more than one number."""


@dataclass(frozen=True)
class CellSaid:
    """What a cell says."""

    shape: Shape
    parts: tuple[Part, ...] = ()
    remark: str = ""
    words: str = ""
    """Words in front of the number, or a cell of words alone."""
    doubted: bool = False
    """True when the writer put a question mark, or 'more than', to it."""
    negative: bool = False
    clock: bool = field(default=False)
    """True for digits with a colon, which may be a time of day as well."""


def said_of(cell: str) -> CellSaid:
    """
    Take a cell apart.

    Parameters
    ----------
    cell : str

    Returns
    -------
    CellSaid
    """
    text = cell.strip()
    if is_nothing(text):
        return CellSaid("nothing", words=text)
    if len(text) > LONGEST_CELL or not any(
        letter.isdigit() or letter in FRACTIONS for letter in text
    ):
        return CellSaid("words", words=text)
    for sign, plain in FRACTIONS.items():
        text = text.replace(sign, f" {plain}")
    plain, remark = _without_brackets(folded(text))
    if not any(letter.isdigit() for letter in plain):
        plain, remark = folded(text).replace("(", " ").replace(")", " "), ""
    doubted = plain.rstrip(" !").endswith("?") or plain.lstrip().startswith(("<", ">"))
    plain = plain.strip().lstrip("~≈<>=± ").rstrip("*†?!+~ ").replace("+/-", " ")
    negative = plain.startswith("-") and plain[1:2].isdigit()
    parts, gaps = _parts(_with_fractions(plain.lstrip("+-").replace("|", " ")))
    if not parts:
        return CellSaid("words", words=text)
    return _joined(parts, gaps, remark, doubted, negative)


def _without_brackets(text: str) -> tuple[str, str]:
    """Part a cell from what stands in brackets."""
    outside, _, rest = text.partition("(")
    inside, _, behind = rest.partition(")")
    return f"{outside} {behind}".strip() if rest else text, inside.strip()


def _with_fractions(text: str) -> str:
    """Write vulgar fractions behind a sign of their own: 34 1/2 as 34|0.5."""

    def plain(found: re.Match[str]) -> str:
        whole, above, below = found.groups()
        if not 0 < int(above) < int(below) <= 16:
            return found[0]
        return f"{whole or 0}|{int(above) / int(below):.6f}|"

    return HALF.sub(plain, text)


def _parts(text: str) -> tuple[list[Part], list[str]]:
    """Give the numbers with their units, and what stands around them (one more than numbers)."""
    parts: list[Part] = []
    gaps: list[str] = []
    place = 0
    while len(parts) < MOST_PARTS and (found := NUMBER.search(text, place)):
        gaps.append(text[place : found.start()])
        place = found.end()
        fraction = 0.0
        if text[place : place + 1] == "|":
            end = text.find("|", place + 1)
            fraction, place = float(text[place + 1 : end]), end + 1
        unit, place = _unit_behind(text, place)
        parts.append(Part(found[0], unit, fraction))
    gaps.append(text[place:])
    return parts, gaps


UNIT = re.compile(r"\s{0,3}([a-z]{1,14})\.?(?![a-z])|\s{0,3}(\"|''|'|%)")


def _unit_behind(text: str, place: int) -> tuple[str | None, int]:
    found = UNIT.match(text, place)
    if not found:
        glued = re.compile(r"\s{0,2}(st|h)(?=\s{0,2}\d)").match(text, place)
        return (glued[1], glued.end()) if glued else (None, place)
    if found[2]:
        return {"'": "min", "%": "%"}.get(found[2], "in"), found.end()
    unit = UNIT_WORDS.get(found[1])
    return (unit, found.end()) if unit else (None, place)


def _joined(
    parts: list[Part], gaps: list[str], remark: str, doubted: bool, negative: bool
) -> CellSaid:
    """Put numbers together that are one amount, and say what the rest is."""
    words = [word for word in gaps[0].strip(" :.-").split() if word.strip(".:") not in ABOUT]
    lead = " ".join(words)
    first = parts[0]
    if first.unit is None and lead.strip(".:") in UNIT_WORDS and len(words) == 1:
        first, lead = Part(first.digits, UNIT_WORDS[lead.strip(".:")], first.fraction), ""
    said = {"remark": remark, "words": lead, "doubted": doubted, "negative": negative}
    tail = gaps[-1].strip(" ,;:.-!")
    if len(parts) == 1:
        said["remark"] = " ".join(part for part in (tail, remark) if part)
        return CellSaid("one", (first,), **said)  # type: ignore[arg-type]
    between = gaps[1].strip(" ,")
    second = parts[1]
    joined = _compound(first, second, between)
    if joined is not None:
        rest = "".join(
            f"{gap}{part.digits}" for gap, part in zip(gaps[2:], parts[2:], strict=False)
        )
        said["remark"] = " ".join(part for part in (rest.strip(), tail, remark) if part)
        shape: Shape = "span" if joined.unit == "min" else "one"
        return CellSaid(shape, (joined,), clock=between == ":", **said)  # type: ignore[arg-type]
    if len(parts) == 2 and between in TO and not tail and not lead:
        unit = first.unit or second.unit
        both = (
            Part(first.digits, unit, first.fraction),
            Part(second.digits, unit, second.fraction),
        )
        return CellSaid("range", both, **said)  # type: ignore[arg-type]
    said["remark"] = " ".join(
        part for part in (*(gap.strip(" ,;:.") for gap in gaps[1:]), remark) if part
    )
    twice = bool(lead) and first.unit is second.unit is None
    if any(letter.isalpha() for letter in f"{first.unit or ''}{between}") and not twice:
        return CellSaid("one", tuple(parts), **said)  # type: ignore[arg-type]
    return CellSaid("several", (first, *parts[1:]), **said)  # type: ignore[arg-type]


def _compound(first: Part, second: Part, between: str) -> Part | None:
    """Join stones and pounds, hours and minutes, and so many times so many minutes."""
    if first.unit == "st" and second.unit in (None, "lb") and between in ("", "and", "&", "-", "."):
        pounds = values_of(second.digits, None)[:1]
        stones = values_of(first.digits, None)[:1]
        if pounds and stones:
            total = stones[0] + (pounds[0] + second.fraction) / 14
            given = total if pounds[0] + second.fraction < 14 else None
            return Part(f"{first.digits} st {second.digits}", "st", given=given or -1.0)
        return None
    if not (first.digits.isdigit() and second.digits.isdigit()):
        return None
    one, two = int(first.digits[:6]), int(second.digits[:6])
    if (
        first.unit == "h"
        and second.unit in (None, "min")
        and between in ("", "and", "und", "et", "e")
    ):
        return Part(f"{first.digits}h{second.digits}", "min", given=60.0 * one + two)
    if between == ":" and len(second.digits) == 2 and two < 60 and first.unit is None:
        minutes = 60.0 * one + two if one < 13 else one + two / 60
        return Part(f"{first.digits}:{second.digits}", "min", given=minutes)
    if between in ("x", "×", "*") and second.unit in (None, "min", "h") and one <= 20:
        each = two * (60.0 if second.unit == "h" else 1.0)
        return Part(f"{first.digits} x {second.digits}", "min", given=one * each)
    return None


def values_of(digits: str, comma: bool | None) -> tuple[float, ...]:
    """
    Return what digits may mean, the likelier first.

    Parameters
    ----------
    digits : str
        As written, with their marks: 80,5 or 1.234,5.
    comma : bool or None
        Whether the table writes decimals with a comma; only three digits behind a lone mark hang
        on it.

    Returns
    -------
    tuple of float
        Empty where it is no number.
    """
    plain = digits.replace("'", "").replace(" ", "")
    marks = [letter for letter in plain if letter in ".,"]
    if not marks:
        return (float(plain),) if len(plain) <= 12 else ()
    last = marks[-1]
    groups = re.split(r"[.,]", plain)
    if len(set(marks)) == 2:
        whole, _, behind = plain.rpartition(last)
        if marks.count(last) > 1 or any(len(group) != 3 for group in groups[1:-1]):
            return ()
        return (float(f"{re.sub('[.,]', '', whole)}.{behind}"),)
    thousands = all(len(group) == 3 for group in groups[1:]) and len(groups[0]) <= 3
    grouped = float("".join(groups)) if thousands and groups[0] != "0" else None
    if len(marks) > 1:
        return (grouped,) if grouped is not None else ()
    decimal = float(f"{groups[0]}.{groups[1]}")
    if grouped is None:
        return (decimal,)
    is_decimal = comma is None or comma == (last == ",")
    return (decimal, grouped) if is_decimal else (grouped, decimal)
