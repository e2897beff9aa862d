"""
What the columns of somebody else's table mean: units, decimal mark and date order.

Each is settled by a choice, by a heading, or guessed with a reason that somebody must confirm.
"""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from statistics import median
from typing import Literal, cast, get_args

from pydantic import BaseModel, ConfigDict

from mealplan.checkin.log.csv_cells import (
    CellError,
    DateOrder,
    Field,
    Heading,
    date_parts,
    is_blank,
    read_heading,
    read_number,
)
from mealplan.checkin.log.entries import (
    KG_PER_UNIT,
    GirthSite,
    MassUnit,
)
from mealplan.errors import CheckInError

SITES: tuple[GirthSite, ...] = get_args(GirthSite)
USUAL_KG = (45.0, 120.0)
"""Most adult athletes weigh something between these. [kg]"""
Topic = Literal["mass unit", "date order", "decimal mark", "energy unit", "girth unit", "column"]


class CsvPart(BaseModel):
    """Frozen, and nothing it does not know."""

    model_config = ConfigDict(frozen=True, extra="forbid")


class Choices(CsvPart):
    """What the client or coach says about the file; None leaves it to the guess."""

    mass_unit: MassUnit | None = None
    date_order: DateOrder | None = None
    decimal_comma: bool | None = None
    energy_unit: Literal["kcal", "kj"] | None = None
    girth_unit: Literal["cm", "in"] | None = None


class Guess(CsvPart):
    """One thing the file does not say outright."""

    topic: Topic
    column: str
    choice: str
    reason: str
    alternatives: tuple[str, ...] = ()
    sure: bool = False


@dataclass(frozen=True)
class CsvTable:
    """Cells of a table: its heading, and its rows with their line in the file."""

    heading: tuple[str, ...]
    lines: tuple[tuple[int, tuple[str, ...]], ...]
    delimiter: str
    titles: tuple[tuple[int, tuple[str, ...]], ...] = ()
    """Rows above the heading."""
    made_up: bool = False
    """True when the table has no heading and was given one."""


@dataclass(frozen=True)
class TableMeaning:
    """What stands in which column, and in which unit, order and decimal mark."""

    fields: dict[int, Field]
    heading: tuple[str, ...]
    units: dict[int, str]
    mass_unit: MassUnit
    order: DateOrder
    decimal_comma: bool
    energy_unit: str
    girth_unit: str
    expected_kg: float | None = None
    """About what the client weighs. [kg]"""


NEAR_FRACTION = 0.2
"""A reading this near the client's own mass is his."""
FAR_FRACTION = 0.45
"""A reading further from it than this needs its unit written to be believed."""


def unit_of_cell(value: float, meaning: TableMeaning) -> MassUnit:
    """
    Tell the unit of one mass without a unit by the client's own.

    Parameters
    ----------
    value : float
        As it stands in the cell.
    meaning : TableMeaning

    Returns
    -------
    {"kg", "lb", "st"}
        The column's unit where it fits; another one where only that does.

    Raises
    ------
    CellError
        When the reading is far from the client's mass in every unit.
    """
    unit, expected = meaning.mass_unit, meaning.expected_kg
    if expected is None:
        return unit
    far = {u: abs(value * factor / expected - 1) for u, factor in KG_PER_UNIT.items()}
    if far[unit] <= NEAR_FRACTION:
        return unit
    others = [other for other in far if other != unit and far[other] <= NEAR_FRACTION]
    if len(others) == 1:
        return others[0]
    if far[unit] <= FAR_FRACTION:
        return unit
    raise CellError(
        f"{value:g} {unit} is far from the client's {expected:.1f} kg",
        f"check the number, or write its unit behind it if it is right ({value:g} {unit})",
    )


def meaning_of(
    table: CsvTable, choices: Choices, expected_kg: float | None
) -> tuple[TableMeaning, tuple[Guess, ...]]:
    """
    Say what the columns of a table mean, and what of that was guessed.

    Parameters
    ----------
    table : CsvTable
    choices : Choices
        What somebody has settled already.
    expected_kg : float or None
        About what the client weighs. [kg]

    Returns
    -------
    TableMeaning
    tuple of Guess

    Raises
    ------
    CheckInError
        Without a column of dates.
    """
    headings = [read_heading(text) for text in table.heading]
    fields = _assign(headings)
    if "date" not in fields.values():
        raise CheckInError(
            f"no column of {', '.join(repr(h) for h in table.heading)} is a date; name one 'date'"
        )
    guesses: list[Guess] = []
    comma = _decimal_comma(table, fields, choices, guesses)
    order = _date_order(table, fields, choices, guesses)
    meaning = TableMeaning(
        fields=fields,
        heading=table.heading,
        units={i: h.unit for i, h in enumerate(headings) if h.unit},
        mass_unit=_mass_unit(table, fields, headings, choices, comma, expected_kg, guesses),
        order=order,
        decimal_comma=comma,
        energy_unit=_energy_unit(table, fields, headings, choices, comma, guesses),
        girth_unit=_girth_unit(table, fields, headings, choices, comma, guesses),
        expected_kg=expected_kg,
    )
    if table.made_up:
        guesses.append(
            Guess(
                topic="column",
                column=", ".join(table.heading),
                choice=", ".join(table.heading),
                reason="the table has no heading; its columns are taken so by their first row",
            )
        )
    return meaning, tuple(guesses)


def _assign(headings: list[Heading]) -> dict[int, Field]:
    """Give each field its first column; later ones are kept as extras."""
    fields: dict[int, Field] = {}
    for place, heading in enumerate(headings):
        if heading.field is not None and heading.field not in fields.values():
            fields[place] = heading.field
    return fields


def _column(table: CsvTable, fields: dict[int, Field], *wanted: Field) -> list[str]:
    places = [place for place, field in fields.items() if field in wanted]
    return [
        cells[place]
        for _, cells in table.lines
        for place in places
        if place < len(cells) and not is_blank(cells[place])
    ]


def _name(table: CsvTable, fields: dict[int, Field], wanted: Field) -> str:
    return next((table.heading[p] for p, f in fields.items() if f == wanted), "")


def _decimal_comma(
    table: CsvTable, fields: dict[int, Field], choices: Choices, guesses: list[Guess]
) -> bool:
    if choices.decimal_comma is not None:
        return choices.decimal_comma
    cells = _column(table, fields, "mass", "energy", *SITES)
    commas = sum("," in cell for cell in cells)
    if not commas:
        return False
    thousands = all(
        len(cell.split(",")[-1].split(".")[0].strip(" kcalKJj")) == 3
        for cell in cells
        if "," in cell
    )
    comma = not thousands
    guesses.append(
        Guess(
            topic="decimal mark",
            column=_name(table, fields, "mass"),
            choice="comma" if comma else "point",
            reason=f"{commas} of {len(cells)} numbers have a comma"
            + (", always before three digits" if thousands else ""),
            alternatives=("point",) if comma else ("comma",),
        )
    )
    return comma


def _date_order(
    table: CsvTable, fields: dict[int, Field], choices: Choices, guesses: list[Guess]
) -> DateOrder:
    if choices.date_order is not None:
        return choices.date_order
    parts = [p for cell in _column(table, fields, "date") if (p := date_parts(cell))]
    short = [p for p in parts if p[0] < 1000]
    if not short:
        return "ymd"
    name = _name(table, fields, "date")
    first, second = max(p[0] for p in short), max(p[1] for p in short)
    if first > 12 >= second:
        choice: DateOrder = "dmy"
        reason, sure = f"the first number reaches {first}, so it is the day", True
    elif second > 12 >= first:
        choice, sure = "mdy", True
        reason = f"the second number reaches {second}, so it is the day"
    else:
        spread = {o: _span(short, o) for o in ("dmy", "mdy")}
        choice = "mdy" if spread["mdy"] < spread["dmy"] else "dmy"
        sure = False
        reason = (
            "no day is above 12; read this way the dates lie closer together"
            if spread["mdy"] != spread["dmy"]
            else "no day is above 12, so both orders are possible"
        )
    other: DateOrder = "dmy" if choice == "mdy" else "mdy"
    guesses.append(
        Guess(
            topic="date order",
            column=name,
            choice=choice,
            reason=reason,
            alternatives=() if sure else (other,),
            sure=sure,
        )
    )
    return choice


def _span(parts: list[tuple[int, int, int]], order: str) -> int:
    days = []
    for a, b, year in parts:
        day, month = (a, b) if order == "dmy" else (b, a)
        try:
            days.append(dt.date(year + 2000 if year < 100 else year, month, day).toordinal())
        except ValueError:
            return 10**9
    return max(days) - min(days)


def _numbers(cells: list[str], comma: bool) -> list[float]:
    values = []
    for cell in cells:
        try:
            value, unit = read_number(cell, decimal_comma=comma)
        except CellError:
            continue
        if unit is None:
            values.append(value)
    return values


def _mass_unit(
    table: CsvTable,
    fields: dict[int, Field],
    headings: list[Heading],
    choices: Choices,
    comma: bool,
    expected_kg: float | None,
    guesses: list[Guess],
) -> MassUnit:
    if choices.mass_unit is not None:
        return choices.mass_unit
    place = next((p for p, f in fields.items() if f == "mass"), None)
    if place is None:
        return "kg"
    name = table.heading[place]
    named = next((u for u in get_args(MassUnit) if u == headings[place].unit), None)
    values = _numbers(_column(table, fields, "mass"), comma)
    if not values:
        return named or "kg"
    guess = _guessed_unit(name, named, median(values), expected_kg)
    guesses.append(guess)
    return cast(MassUnit, guess.choice)


def _guessed_unit(
    name: str, named: MassUnit | None, middle: float, expected_kg: float | None
) -> Guess:
    """Say which unit of mass a column is in: as its heading says, else as its middle value fits."""
    units: tuple[MassUnit, ...] = get_args(MassUnit)
    if named is not None:
        plausible = 30 <= middle * KG_PER_UNIT[named] <= 250
        return Guess(
            topic="mass unit",
            column=name,
            choice=named,
            reason=f"the heading says {named}"
            + ("" if plausible else f", but {middle:g} {named} is no adult's mass"),
            alternatives=tuple(u for u in units if u != named),
            sure=plausible,
        )
    fits = [u for u in units if USUAL_KG[0] <= middle * KG_PER_UNIT[u] <= USUAL_KG[1]]
    if expected_kg is not None:
        choice = min(units, key=lambda u: abs(middle * KG_PER_UNIT[u] / expected_kg - 1))
        reason = (
            f"{middle:g} {choice} is {middle * KG_PER_UNIT[choice]:.1f} kg, nearest to the "
            f"client's {expected_kg:.1f} kg"
        )
    elif len(fits) == 1:
        choice = fits[0]
        reason = f"the middle value {middle:g} is a usual mass only in {choice}"
    elif fits:
        choice = fits[0]
        both = " and ".join(f"{middle * KG_PER_UNIT[u]:.0f} kg as {u}" for u in fits)
        reason = f"the middle value {middle:g} could be {both}"
    else:
        choice = min(units, key=lambda u: abs(middle * KG_PER_UNIT[u] - 80))
        reason = f"the middle value {middle:g} is unusual in any unit; {choice} comes nearest"
    return Guess(
        topic="mass unit",
        column=name,
        choice=choice,
        reason=reason,
        alternatives=tuple(u for u in units if u != choice),
    )


def _energy_unit(
    table: CsvTable,
    fields: dict[int, Field],
    headings: list[Heading],
    choices: Choices,
    comma: bool,
    guesses: list[Guess],
) -> str:
    place = next((p for p, f in fields.items() if f == "energy"), None)
    if choices.energy_unit is not None or place is None:
        return choices.energy_unit or "kcal"
    named = headings[place].unit
    values = _numbers(_column(table, fields, "energy"), comma)
    middle = median(values) if values else 0.0
    choice = named if named in ("kcal", "kj") else ("kj" if middle > 6000 else "kcal")
    sure = named in ("kcal", "kj") and not (named == "kcal" and middle > 6000)
    guesses.append(
        Guess(
            topic="energy unit",
            column=table.heading[place],
            choice=choice,
            reason=f"the heading says {choice}"
            if named == choice
            else f"a day's middle value of {middle:g} fits {choice}",
            alternatives=("kcal",) if choice == "kj" else ("kj",),
            sure=sure,
        )
    )
    return choice


def _girth_unit(
    table: CsvTable,
    fields: dict[int, Field],
    headings: list[Heading],
    choices: Choices,
    comma: bool,
    guesses: list[Guess],
) -> str:
    places = [p for p, f in fields.items() if f in SITES]
    if choices.girth_unit is not None or not places:
        return choices.girth_unit or "cm"
    named = next((headings[p].unit for p in places if headings[p].unit in ("cm", "in")), None)
    trunk = _numbers(_column(table, fields, "waist", "abdomen", "hip", "chest"), comma)
    middle = median(trunk or _numbers(_column(table, fields, *SITES), comma) or [0.0])
    choice = named or ("in" if trunk and middle < 50 else "cm")
    guesses.append(
        Guess(
            topic="girth unit",
            column=table.heading[places[0]],
            choice=choice,
            reason=f"the heading says {choice}" if named else f"a middle value of {middle:g} fits",
            alternatives=("in",) if choice == "cm" else ("cm",),
            sure=named is not None,
        )
    )
    return choice
