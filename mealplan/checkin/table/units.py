"""Units and decimal marks of a table's columns, each chosen, named by a heading, or guessed."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median

from mealplan.checkin.log.entries import KG_PER_UNIT, GirthUnit, MassUnit
from mealplan.checkin.table.amounts import said_of, values_of
from mealplan.checkin.table.column_content import Column
from mealplan.checkin.table.headings import GIRTHS
from mealplan.checkin.table.layout import LongTable
from mealplan.checkin.table.reading import Choices, Guess

USUAL_KG = (45.0, 120.0)
"""Most adult athletes weigh something between these. [kg]"""
MASS_UNITS: tuple[MassUnit, ...] = ("kg", "lb", "st")
MOST_KCAL = 6000.0
"""A middle value above this is in kilojoules (common practice). [kcal]"""
TRUNK = ("waist", "abdomen", "hip", "chest")


@dataclass(frozen=True)
class Units:
    """Units of bare numbers, by column, and how decimals are written."""

    mass: dict[int, MassUnit]
    energy: str
    girth: dict[int, GirthUnit]
    training: dict[int, str]
    comma: bool | None
    expected_kg: float | None


def units_of(
    table: LongTable, columns: Sequence[Column], choices: Choices, expected_kg: float | None
) -> tuple[Units, tuple[Guess, ...]]:
    """
    Say in which units the bare numbers of a table stand.

    Parameters
    ----------
    table : LongTable
    columns : sequence of Column
    choices : Choices
    expected_kg : float or None
        About what the client weighs. [kg]

    Returns
    -------
    Units
    tuple of Guess
    """
    guesses: list[Guess] = []
    comma = _comma(table, columns, choices, guesses)
    bare = {c.place: _bare(table, c, comma) for c in columns if c.field}
    mass: dict[int, MassUnit] = {}
    girth: dict[int, GirthUnit] = {}
    training: dict[int, str] = {}
    energy: str = choices.energy_unit or "kcal"
    for column in columns:
        values = bare.get(column.place, [])
        if column.field == "mass":
            mass[column.place] = _mass_unit(column, values, choices, expected_kg, guesses)
        elif column.field in GIRTHS:
            girth[column.place] = _girth_unit(column, values, choices, guesses)
        elif column.field == "energy" and choices.energy_unit is None:
            energy = _energy_unit(column, values, guesses)
        elif column.field == "training":
            training[column.place] = _training_unit(column, values)
    return Units(mass, energy, girth, training, comma, expected_kg), tuple(guesses)


def _bare(table: LongTable, column: Column, comma: bool | None) -> list[float]:
    """Give the numbers of a column that have no unit behind them."""
    values: list[float] = []
    least = LEAST.get(column.field or "", 0.0)
    for row in table.rows:
        said = said_of(row.cells[column.place])
        if said.shape == "one" and said.parts[0].unit is None:
            found = values_of(said.parts[0].digits, comma)
            found = tuple(value for value in found if value >= least) or found
            values += [found[0] + said.parts[0].fraction] if found else []
    return values


LEAST = {"energy": 100.0, "steps": 100.0}
"""What a number is at least where thousands and decimals look alike, by kind."""


def _comma(
    table: LongTable, columns: Sequence[Column], choices: Choices, guesses: list[Guess]
) -> bool | None:
    """Say whether decimals are written with a comma, by the marks that can be nothing else."""
    if choices.decimal_comma is not None:
        return choices.decimal_comma
    commas = points = 0
    name = ""
    for column in columns:
        if column.field not in ("mass", "energy", "training", *GIRTHS):
            continue
        for row in table.rows:
            for part in said_of(row.cells[column.place]).parts[:2]:
                behind = part.digits.replace(",", ".").rpartition(".")[2]
                if "," in part.digits and len(behind) != 3:
                    commas, name = commas + 1, name or column.name
                points += "." in part.digits and len(behind) != 3
    if not commas and not points:
        return None
    if commas:
        other = f"; {points} have a point and are read so" if points else ""
        guesses.append(
            Guess(
                topic="decimal mark",
                column=name,
                choice="comma" if commas >= points else "point",
                reason=f"{commas} numbers have a comma that can be nothing else{other}",
                alternatives=(),
                sure=True,
            )
        )
    return commas > points


def _mass_unit(
    column: Column,
    values: list[float],
    choices: Choices,
    expected_kg: float | None,
    guesses: list[Guess],
) -> MassUnit:
    named = next((unit for unit in MASS_UNITS if unit == column.unit), None)
    if choices.mass_unit is not None:
        return choices.mass_unit
    if not values:
        return named or "kg"
    middle = median(values)
    if named is not None:
        low, high = (0.75 * expected_kg, 1.3 * expected_kg) if expected_kg else (30, 250)
        fits = low <= middle * KG_PER_UNIT[named] <= high
        others = [u for u in MASS_UNITS if low <= middle * KG_PER_UNIT[u] <= high]
        sure = fits or (not others and 30 <= middle * KG_PER_UNIT[named] <= 250)
        choice = named if sure or not others else others[0]
        reason = f"the heading says {named}"
        if not sure:
            reason += f", but {middle:g} {named} is far from the client's mass"
        guesses.append(_mass_guess(column, choice, reason, sure=sure))
        return choice
    choice, reason = _mass_by_size(middle, expected_kg)
    guesses.append(_mass_guess(column, choice, reason, sure=False))
    return choice


def _mass_by_size(middle: float, expected_kg: float | None) -> tuple[MassUnit, str]:
    fits = [u for u in MASS_UNITS if USUAL_KG[0] <= middle * KG_PER_UNIT[u] <= USUAL_KG[1]]
    if expected_kg is not None:
        choice = min(MASS_UNITS, key=lambda u: abs(middle * KG_PER_UNIT[u] / expected_kg - 1))
        return choice, (
            f"{middle:g} {choice} is {middle * KG_PER_UNIT[choice]:.1f} kg, nearest to the "
            f"client's {expected_kg:.1f} kg"
        )
    if len(fits) == 1:
        return fits[0], f"the middle value {middle:g} is a usual mass only in {fits[0]}"
    if fits:
        both = " and ".join(f"{middle * KG_PER_UNIT[u]:.0f} kg as {u}" for u in fits)
        return fits[0], f"the middle value {middle:g} could be {both}"
    choice = min(MASS_UNITS, key=lambda u: abs(middle * KG_PER_UNIT[u] - 80))
    return choice, f"the middle value {middle:g} is unusual in any unit; {choice} comes nearest"


def _mass_guess(column: Column, choice: MassUnit, reason: str, *, sure: bool) -> Guess:
    return Guess(
        topic="mass unit",
        column=column.name,
        choice=choice,
        reason=reason,
        alternatives=tuple(unit for unit in MASS_UNITS if unit != choice),
        sure=sure,
    )


def _energy_unit(column: Column, values: list[float], guesses: list[Guess]) -> str:
    middle = median(values) if values else 0.0
    named = column.unit if column.unit in ("kcal", "kj", "mj") else None
    if named == "mj":
        return "mj"
    many = sum(value > MOST_KCAL for value in values) > len(values) / 2
    choice = "kj" if many else "kcal"
    sure = not values or (named is not None and not (named == "kcal" and choice == "kj"))
    if named == "kj":
        choice = "kj"
    guesses.append(
        Guess(
            topic="energy unit",
            column=column.name,
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
    column: Column, values: list[float], choices: Choices, guesses: list[Guess]
) -> GirthUnit:
    if choices.girth_unit is not None:
        return choices.girth_unit
    named: GirthUnit | None = next((u for u in ("cm", "in") if u == column.unit), None)
    middle = median(values) if values else 0.0
    inches = column.field in TRUNK and 0 < middle < 50
    choice: GirthUnit = named or ("in" if inches else "cm")
    if values and not (named is None and choice == "cm" and column.field in TRUNK):
        guesses.append(
            Guess(
                topic="girth unit",
                column=column.name,
                choice=choice,
                reason=f"the heading says {choice}"
                if named
                else f"a middle value of {middle:g} fits",
                alternatives=("in",) if choice == "cm" else ("cm",),
                sure=named is not None and not (named == "cm" and inches),
            )
        )
    return choice


def _training_unit(column: Column, values: list[float]) -> str:
    if column.unit in ("min", "h"):
        return column.unit
    return "h" if values and median(values) <= 4 else "min"
