"""Amounts that a body, or a day, can hardly have, and what was likely meant."""

from __future__ import annotations

import bisect
import datetime as dt
import itertools
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from statistics import median

from mealplan.checkin.log.entries import KG_PER_UNIT
from mealplan.checkin.table.amounts import values_of
from mealplan.checkin.table.cell_items import Item, Option, in_base, in_words, plausible
from mealplan.checkin.table.headings import GIRTHS
from mealplan.science.units import LB_PER_STONE

SIDE_BY_SIDE = 3
"""Readings before, and after, that a reading is held against."""
FEW = 2
"""Fewer neighbours than this tell nothing."""
ENOUGH = 5
"""Fewer than this are helped by the client's own mass."""
USUAL_DAY = {"energy": 2300.0, "waist": 85.0, "abdomen": 88.0, "hip": 98.0, "chest": 95.0}
"""About what an adult has, to propose by where there are no neighbours (common practice)."""


@dataclass(frozen=True)
class Tolerance:
    """How far readings of one kind may lie from their neighbours, as fractions of them."""

    below: float
    above: float
    a_day: float
    """What each day between adds."""
    near: float
    """What was meant lies within this of the neighbours."""


BODY = Tolerance(0.035, 0.04, 0.0015, 0.035)
TAPE = Tolerance(0.065, 0.065, 0.001, 0.05)
EATEN = Tolerance(0.62, 1.2, 0.0, 0.5)
MOVED = Tolerance(1.0, 3.0, 0.0, 1.0)
WALKED = Tolerance(0.97, 5.0, 0.0, 1.5)
"""Common practice: a fed, clothed evening after a feast stays within the first, a tape's slack
within the second, a fast day and a feast within the third."""
MOST_MINUTES = 300.0
"""One session longer than this is asked about. [min]"""
FAR_FRACTION = 0.3
"""Neighbours further than this from the client's own mass do not count."""


def question_odd(
    items: Sequence[Item], days: Sequence[dt.date | None], expected_kg: float | None
) -> None:
    """
    Ask about amounts far from their neighbours.

    Parameters
    ----------
    items : sequence of Item
        Of one table.
    days : sequence of date or None
        Of its rows.
    expected_kg : float or None
        About what the client weighs. [kg]
    """
    series: dict[tuple[str, str | None], list[Item]] = {}
    for item in items:
        if days[item.row] is not None:
            series.setdefault((str(item.column.field), _apart(item)), []).append(item)
    for (kind, _), members in series.items():
        members.sort(key=lambda item: days[item.row] or dt.date.min)
        when = [(days[item.row] or dt.date.min).toordinal() for item in members]
        bases = [item.base for item in members]
        amounts = sorted(bases)
        middle = amounts[len(amounts) // 2]
        for place, item in enumerate(members):
            usual, gap = _usual(kind, place, bases, when, middle, expected_kg)
            _question(kind, item, usual, gap, amounts)


def _apart(item: Item) -> str | None:
    """Keep sides, and columns of sessions, apart."""
    return item.column.name if item.column.field == "training" else item.column.side


def _question(
    kind: str, item: Item, usual: float | None, gap: float, amounts: Sequence[float]
) -> None:
    spread = _spread(kind)
    if not usual or spread is None:
        if not plausible(kind, item.base):
            options = _options(kind, item, USUAL_DAY.get(kind), _as_written(item))
            item.ask(f"{_said(item)} is no adult's", options)
            _settle(item)
        return
    ratio = item.base / usual
    low = 1 - spread.below - spread.a_day * gap
    high = 1 + spread.above + spread.a_day * gap
    odd = not low <= ratio <= high or not plausible(kind, item.base)
    if kind == "training":
        odd = (
            (item.base > MOST_MINUTES and ratio > 2)
            or not plausible(kind, item.base)
            or (item.base < 5 and usual > 20)
        )
    if kind == "energy" and _is_habit(item, amounts):
        odd = not plausible(kind, item.base)
    if odd and not (item.why and item.said.shape != "one"):
        why = f"{_said(item)} is far from the {_usual_words(usual, item)} around it"
        options = _options(kind, item, usual, _as_written(item))
        if item.why and low <= in_base(item.value, item.unit) / usual <= high:
            return
        item.why = ""
        item.ask(why, options)
        _settle(item)
    elif item.why and item.options and kind == "mass":
        _nearest_first(item, usual)


def _is_habit(item: Item, amounts: Sequence[float]) -> bool:
    """Say whether days this low, or high, come often: fast days are no slips."""
    low = bisect.bisect_left(amounts, 0.7 * item.base)
    alike = bisect.bisect_right(amounts, 1.3 * item.base) - low
    return alike >= max(3, 0.1 * len(amounts))


def _usual(
    kind: str,
    place: int,
    bases: Sequence[float],
    when: Sequence[int],
    overall: float,
    expected_kg: float | None,
) -> tuple[float | None, float]:
    """Give the middle of the neighbours and how many days off they are."""
    start, end = max(0, place - SIDE_BY_SIDE), place + SIDE_BY_SIDE + 1
    if place < SIDE_BY_SIDE:
        end += SIDE_BY_SIDE - place
    if end > len(bases):
        start = max(0, start - (end - len(bases)))
    near = [n for n in range(start, min(end, len(bases))) if n != place]
    values = [bases[n] for n in near if plausible(kind, bases[n])]
    gap = median([abs(when[n] - when[place]) for n in near]) if near else 0.0
    if kind != "mass":
        return (median(values) if len(values) >= FEW else None), gap
    fixed = expected_kg if expected_kg is not None else overall
    if len(values) < FEW:
        return expected_kg, 60.0
    usual = median([*values, fixed] if len(values) < ENOUGH else values)
    return (fixed, 60.0) if abs(usual - fixed) > FAR_FRACTION * fixed else (usual, gap)


def _spread(kind: str) -> Tolerance | None:
    if kind in GIRTHS:
        return TAPE
    return {"mass": BODY, "energy": EATEN, "training": MOVED, "steps": WALKED}.get(kind)


def _said(item: Item) -> str:
    return in_words(item.value, item.unit)


def _usual_words(usual: float, item: Item) -> str:
    one = in_base(1.0, item.unit)
    return in_words(round(usual / one, 1), item.unit)


def _as_written(item: Item) -> Option:
    return Option(f"as written: {_said(item)}", item.value, item.unit)


def _settle(item: Item) -> None:
    """Take the first option for the item's amount."""
    first = item.options[0]
    if first.value is not None:
        item.value, item.unit = first.value, first.unit


def _nearest_first(item: Item, usual: float) -> None:
    """Propose what lies nearest to the neighbours of what is asked already."""
    told = [option for option in item.options if option.value is not None]
    if item.said.shape != "one" or len(told) < 2:
        return
    told.sort(key=lambda option: abs(in_base(option.value or 0.0, option.unit) / usual - 1))
    item.options = [*told, *(option for option in item.options if option.value is None)]
    _settle(item)


def _options(kind: str, item: Item, usual: float | None, written: Option) -> list[Option]:
    """Give what was likely meant, then the cell as it stands where that can be."""
    found: list[Option] = []
    if usual is not None:
        near = (_spread(kind) or BODY).near
        for wide, options in _meant(kind, item):
            fits = [
                o for o in options if _off(o, usual) <= near * wide and plausible(kind, _base(o))
            ]
            found += sorted(fits, key=lambda o: _off(o, usual))[:2]
    found = list({round(_base(o), 4): o for o in reversed(found)}.values())[::-1][:3]
    possible = plausible(kind, item.base)
    if not found and possible and usual is not None and not item.named:
        ratio = item.base / usual
        if kind == "mass" and not 0.85 <= ratio <= 1.18:
            return [Option("leave it out"), written]
    return [*found, written] if possible else (found or [Option("leave it out")])


def _base(option: Option) -> float:
    return in_base(option.value or 0.0, option.unit)


def _off(option: Option, usual: float) -> float:
    return abs(_base(option) / usual - 1)


def _meant(kind: str, item: Item) -> Iterator[tuple[float, list[Option]]]:
    """Give likely slips, one class after the other: how near each must come, and its options."""
    value, unit = item.value, item.unit
    yield 1.4, [_option(item, v, u) for v, u in _other_units(kind, item)]
    yield 1.4, [_option(item, value * factor, unit) for factor in (0.1, 10, 0.01, 100, 0.001)]
    digits = item.said.parts[0].digits if len(item.said.parts) == 1 else ""
    if kind in ("mass", *GIRTHS, "energy", "steps") and digits and item.said.parts[0].given is None:
        yield 1.0, [_option(item, v, unit) for v in _swapped(digits)]
        if kind in ("mass", *GIRTHS):
            yield 0.5, [_option(item, v, unit) for v in _one_digit_off(digits)]


def _option(item: Item, value: float, unit: str) -> Option:
    return Option(in_words(value, unit), value, unit)


def _other_units(kind: str, item: Item) -> list[tuple[float, str]]:
    value, unit = item.value, item.unit
    if kind == "mass":
        found: list[tuple[float, str]] = [(value, str(u)) for u in KG_PER_UNIT if u != unit]
        part = item.said.parts[0]
        whole, mark, pounds = part.digits.replace(",", ".").partition(".")
        if mark and pounds.isdigit() and int(pounds[:3]) < LB_PER_STONE and whole.isdigit():
            found.insert(0, (int(whole) + int(pounds) / LB_PER_STONE, "st"))
        return found
    if kind == "energy":
        return [(value, "kj" if unit == "kcal" else "kcal")]
    if kind in GIRTHS:
        return [(value, "in" if unit == "cm" else "cm")]
    if kind == "training":
        return [(value * 60, unit)] if value < 5 else [(value / 60, unit)] if value > 600 else []
    return []


def _swapped(digits: str) -> list[float]:
    """Give the numbers that two neighbouring digits changing places make."""
    places = [n for n, letter in enumerate(digits) if letter.isdigit()]
    found: list[float] = []
    for one, two in itertools.pairwise(places):
        letters = list(digits)
        letters[one], letters[two] = letters[two], letters[one]
        found += values_of("".join(letters), None)[:1]
    return found


def _one_digit_off(digits: str) -> list[float]:
    """Give the numbers that another first digit, or another second one, makes."""
    places = [n for n, letter in enumerate(digits) if letter.isdigit()][:2]
    found: list[float] = []
    for place in places:
        for other in "0123456789":
            if other != digits[place]:
                found += values_of(digits[:place] + other + digits[place + 1 :], None)[:1]
    return found
