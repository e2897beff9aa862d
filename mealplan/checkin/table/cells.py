"""From one cell and the meaning of its column to an amount, or to what has to be asked about it."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from mealplan.checkin.table.amounts import CellSaid, Part, said_of, values_of
from mealplan.checkin.table.cell_items import (
    UNITS_OF,
    CellError,
    Found,
    Item,
    Option,
    in_base,
    in_words,
    plausible,
)
from mealplan.checkin.table.column_content import Column
from mealplan.checkin.table.headings import GIRTHS
from mealplan.checkin.table.units import Units
from mealplan.science.units import LB_PER_STONE


def read_cell(row: int, column: Column, cell: str, units: Units) -> Item | None:
    """
    Read one cell of a column of amounts.

    Parameters
    ----------
    row : int
    column : Column
    cell : str
    units : Units

    Returns
    -------
    Item or None
        None where the cell says nothing.

    Raises
    ------
    CellError
        When it holds no number.
    """
    said = said_of(cell)
    if said.shape == "nothing":
        return None
    if said.shape == "words":
        raise CellError(
            f"{cell.strip()[:60]!r} is not a number",
            "write digits, such as 80.5, or leave it empty",
        )
    kind = str(column.field)
    part = _part(said, kind)
    unit = _unit_of(column, units)
    item = Item(row, column, cell, said, 0.0, unit, part.unit is not None)
    found = READERS.get(kind, _girth if kind in GIRTHS else _count)(item, part, units)
    if not found:
        raise CellError(f"{cell.strip()[:60]!r} is not one number", "keep one number a cell")
    item.value, item.unit = found[0]
    _question_shape(item, units)
    return item


def _part(said: CellSaid, kind: str) -> Part:
    """Choose the number of a cell that is of its column's kind."""
    wanted = UNITS_OF.get(kind, ("cm", "in", "mm"))
    return next((part for part in said.parts if part.unit in wanted), said.parts[0])


def _unit_of(column: Column, units: Units) -> str:
    if column.field == "mass":
        return units.mass.get(column.place, "kg")
    if column.field == "energy":
        return units.energy
    if column.field in GIRTHS:
        return units.girth.get(column.place, "cm")
    if column.field == "training":
        return "min"
    return {"steps": "steps"}.get(str(column.field), "")


def _numbers(part: Part, comma: bool | None) -> list[float]:
    if part.given is not None:
        return [part.given]
    return [value + part.fraction for value in values_of(part.digits, comma)]


def _likeliest(kind: str, found: Found) -> Found:
    """Put what can be an adult's first: of 2.450 kcal the thousands."""
    return sorted(found, key=lambda one: not plausible(kind, in_base(*one)))


def _mass(item: Item, part: Part, units: Units) -> Found:
    unit = part.unit or item.unit
    if part.given is not None and part.given < 0:
        stones, pounds = part.digits.split(" st ")
        total = values_of(stones, None)[0] + values_of(pounds, None)[0] / LB_PER_STONE
        item.ask(
            "a stone is 14 pounds, and there are more beside the stones",
            [Option(in_words(total, "st"), total, "st")],
        )
        return [(total, "st")]
    numbers = _numbers(part, units.comma)
    if unit == "g":
        return _likeliest("mass", [(value / 1000, "kg") for value in numbers])
    if unit not in ("kg", "lb", "st"):
        raise CellError(f"{unit!r} is not a unit of body mass", "use kg, lb or st")
    found = _likeliest("mass", [(value, unit) for value in numbers])
    if unit == "st" and part.given is None and "." in part.digits.replace(",", ".") and found:
        _stones(item, part, found[0][0])
    return found


def _stones(item: Item, part: Part, value: float) -> None:
    """Ask whether 12.7 is twelve stone seven."""
    stones, _, pounds = part.digits.replace(",", ".").partition(".")
    if pounds.isdigit() and int(pounds) < LB_PER_STONE and len(pounds) <= 2:
        meant = int(stones) + int(pounds) / LB_PER_STONE
        item.ask(
            f"{part.digits} may be {stones} stone {int(pounds)} or a fraction of a stone",
            [
                Option(in_words(meant, "st"), meant, "st"),
                Option(f"{part.digits} stone", value, "st"),
            ],
        )


def _energy(item: Item, part: Part, units: Units) -> Found:
    numbers = _numbers(part, units.comma)
    unit = {"k": "k"}.get(part.unit or "", part.unit or item.unit)
    factor = {"mj": 1000.0, "k": 1000.0}.get(unit, 1.0)
    plain = {"mj": "kj", "k": units.energy if units.energy != "mj" else "kj"}.get(unit, unit)
    if plain not in ("kcal", "kj"):
        raise CellError(f"{unit!r} is not a unit of energy", "use kcal or kJ")
    found = _likeliest("energy", [(value * factor, plain) for value in numbers])
    if found and factor == 1.0 and 0 < found[0][0] < 30:
        thousands = found[0][0] * 1000
        if plausible("energy", in_base(thousands, plain)):
            item.ask(
                f"{part.digits} may be thousands: {in_words(thousands, plain)}",
                [Option(in_words(thousands, plain), thousands, plain)],
            )
            return [(thousands, plain)]
    return found


def _girth(item: Item, part: Part, units: Units) -> Found:
    unit = part.unit or item.unit
    factor = {"mm": 0.1}.get(unit, 1.0)
    plain = "cm" if unit == "mm" else unit
    if plain not in ("cm", "in"):
        raise CellError(f"{unit!r} is not a unit of length round the body", "use cm or in")
    return _likeliest(
        str(item.column.field), [(v * factor, plain) for v in _numbers(part, units.comma)]
    )


def _training(item: Item, part: Part, units: Units) -> Found:
    if part.given is not None:
        return [(part.given, "min")]
    unit = part.unit or units.training.get(item.column.place, "min")
    if unit not in ("min", "h"):
        raise CellError(f"{item.cell.strip()[:40]!r} says no minutes", "write minutes, such as 45")
    return [(value * (60 if unit == "h" else 1), "min") for value in _numbers(part, units.comma)]


def _count(item: Item, part: Part, units: Units) -> Found:
    factor = 1000.0 if part.unit == "k" else 1.0
    kind = str(item.column.field)
    return _likeliest(kind, [(value * factor, item.unit) for value in _numbers(part, units.comma)])


READERS: dict[str, Callable[[Item, Part, Units], Found]] = {
    "mass": _mass, "energy": _energy, "training": _training, "steps": _count, "cycle day": _count,
}  # fmt: skip


def _question_shape(item: Item, units: Units) -> None:
    """Ask about a range, several numbers, and what the writer doubted."""
    said = item.said
    if said.shape == "range":
        _question_range(item, units)
    elif said.shape == "several" and len([p for p in said.parts if p.unit or p.given is None]) > 1:
        _question_several(item, units)
    elif said.doubted:
        item.ask(
            "the cell itself is not sure",
            [Option(in_words(item.value, item.unit), item.value, item.unit)],
        )
    elif said.negative:
        item.ask(
            "it stands below nothing",
            [Option(in_words(item.value, item.unit), item.value, item.unit)],
        )


def _values(item: Item, parts: Sequence[Part], units: Units) -> list[float]:
    values = []
    for part in parts:
        found = READERS.get(str(item.column.field), _girth)(item, part, units)
        values += [found[0][0]] if found else []
    return values


def _question_range(item: Item, units: Units) -> None:
    low, high = sorted(([*_values(item, item.said.parts, units), item.value, item.value])[:2])
    unit = item.unit
    if unit == "st" and (stones := _stone_pair(item)) is not None:
        item.ask("it may be stones and pounds", [Option(in_words(stones, "st"), stones, "st")])
        item.value = stones
        return
    middle = (low + high) / 2
    item.ask(
        "it is a range",
        [Option(in_words(value, unit), value, unit) for value in (middle, low, high)],
    )
    item.value = middle


def _stone_pair(item: Item) -> float | None:
    """Read two numbers as stones and pounds where they can be."""
    numbers = [values_of(part.digits, None)[:1] for part in item.said.parts[:2]]
    if len(numbers) < 2 or not all(numbers) or not 4 <= numbers[0][0] <= 40:
        return None
    if numbers[0][0] != int(numbers[0][0]) or numbers[1][0] >= LB_PER_STONE:
        return None
    return numbers[0][0] + (numbers[1][0] + item.said.parts[1].fraction) / LB_PER_STONE


def _question_several(item: Item, units: Units) -> None:
    values = _values(item, item.said.parts, units)
    options = []
    stones = _stone_pair(item) if item.column.field == "mass" else None
    if stones is not None and not plausible("mass", in_base(values[0], item.unit)):
        options.append(Option(in_words(stones, "st"), stones, "st"))
    first, second = item.said.parts[:2]
    if item.column.field == "mass" or item.column.field in GIRTHS:
        joined = values_of(f"{first.digits}.{second.digits}", False)
        one = joined[0] if joined and len(item.said.parts) == 2 else 0.0
        if len(second.digits) <= 2 and plausible(str(item.column.field), in_base(one, item.unit)):
            options.append(Option(in_words(one, item.unit), one, item.unit))
    if "+" in item.said.remark and item.column.field in ("training", "energy", "steps"):
        options.append(Option(in_words(sum(values), item.unit), sum(values), item.unit))
    options += [Option(in_words(value, item.unit), value, item.unit) for value in values]
    item.ask("the cell holds more than one number", options)
    if item.options[0].value is not None:
        item.value, item.unit = item.options[0].value, item.options[0].unit
