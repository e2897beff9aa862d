"""What each column holds, by what stands in its cells and by its heading together."""

from __future__ import annotations

from dataclasses import replace
from statistics import median

from mealplan.checkin.log.entries import KG_PER_UNIT
from mealplan.checkin.table.column_content import Column, Content, content_of
from mealplan.checkin.table.headings import GIRTHS, Field, Heading, read_heading
from mealplan.checkin.table.layout import LongTable
from mealplan.checkin.table.reading import Choices, Guess

BESIDE = "kept beside the day"
"""What a column without a kind of its own is taken for."""
NEAR_FRACTION = 0.2
"""Numbers whose middle is this near the client's mass may be masses."""
TRAINING_UNITS = ("min", "h")


def columns_of(
    table: LongTable, date: int | None, choices: Choices, expected_kg: float | None
) -> tuple[list[Column], tuple[Guess, ...]]:
    """
    Say what each column holds, and what of that has to be asked.

    Parameters
    ----------
    table : LongTable
    date : int or None
        The column of dates.
    choices : Choices
    expected_kg : float or None
        About what the client weighs. [kg]

    Returns
    -------
    list of Column
    tuple of Guess
    """
    columns: list[Column] = []
    guesses: list[Guess] = []
    contents: dict[int, Content] = {}
    for place, name in enumerate(table.heading):
        cells = [row.cells[place] for row in table.rows]
        content = contents[place] = content_of(cells)
        heading = read_heading("" if name.startswith("column ") else name)
        if place == date:
            columns.append(Column(place, name, "date", cells=content.told))
            continue
        field, asked = _field(heading, content, expected_kg)
        column = Column(
            place,
            name,
            field,
            next(iter(heading.units), None),
            heading.side,
            heading.fed,
            heading.morning,
            heading.what,
            heading.none,
            content.told,
        )
        column, guess = _answered(column, asked, choices)
        columns.append(column)
        guesses += [guess] if guess is not None and content.told else []
    columns = _one_mass(columns, contents, expected_kg, table.made_up, guesses)
    return _only_first(columns, contents, guesses), tuple(guesses)


def _field(
    heading: Heading, content: Content, expected_kg: float | None
) -> tuple[Field | None, tuple[Field | None, ...]]:
    """Choose a column's kind; kinds to ask about, likeliest first, where it is not sure."""
    if heading.none or not content.told:
        return (heading.field if not heading.none else None), ()
    if content.share(content.weekdays) > 0.6:
        return "weekday", ()
    field = heading.field
    if field is not None and _agrees(field, content):
        return field, () if heading.exact else _unsure(field, content)
    if heading.maybe and content.share(content.numbers) > 0.5:
        return heading.maybe[0], (*heading.maybe, None)
    if field == "training" and content.share(content.numbers) <= 0.5:
        return "session", ()
    unit = _common(content) or next(iter(heading.units), None)
    return _by_content(heading, content, unit, expected_kg)


def _unsure(field: Field, content: Content) -> tuple[Field | None, ...]:
    """Ask about a heading of which only one word is known, unless units in the cells agree."""
    if field in ("date", "time", "note", "steps", "session", "weekday", "adherence", "cycle day"):
        return ()
    unit = _common(content)
    if unit is not None and _of_unit(unit, None) == field:
        return ()
    return (field, None)


def _agrees(field: Field, content: Content) -> bool:
    """Say whether the cells of a column can be of the kind its heading names."""
    unit = _common(content)
    if field in ("note", "session", "adherence"):
        return True
    if field == "date":
        return content.days > 0
    if field == "time":
        return content.share(content.clocks) > 0.5
    if field == "weekday":
        return content.share(content.weekdays) > 0.5
    if (
        unit is not None
        and field in ("mass", "energy")
        and _of_unit(unit, None) not in (field, None)
    ):
        return False
    if field in GIRTHS and unit in ("kg", "lb", "st", "kcal", "kj", "min", "h"):
        return False
    if field == "training":
        return content.share(content.numbers) > 0.5
    return content.share(content.numbers) >= 0.3


def _common(content: Content) -> str | None:
    """Give the unit that most cells with one name, when half of the cells have one."""
    top = content.units.most_common(1)
    spans = content.spans and content.share(content.spans) > 0.4
    if not top:
        return "min" if spans else None
    return top[0][0] if sum(content.units.values()) >= 0.4 * content.told else None


def _of_unit(unit: str | None, expected_kg: float | None) -> Field | None:
    if unit in ("kg", "lb", "st"):
        return "mass"
    if unit in ("kcal", "kj", "mj"):
        return "energy"
    if unit in TRAINING_UNITS:
        return "training"
    return "steps" if unit == "steps" else None


def _by_content(
    heading: Heading, content: Content, unit: str | None, expected_kg: float | None
) -> tuple[Field | None, tuple[Field | None, ...]]:
    """Choose a kind for a column whose heading says nothing of it."""
    if content.share(content.clocks) > 0.8 and unit != "min" and not content.units:
        return "time", ()
    if content.share(content.numbers) <= 0.5:
        return ("session" if heading.field == "training" else None), ()
    field = _of_unit(unit, expected_kg)
    if field is not None:
        return field, (field, None)
    if unit in ("cm", "in"):
        return "waist", ("waist", "abdomen", "hip", None)
    if unit is not None or heading.field in ("session",):
        return None, ()
    middle = median(content.values) if content.values else 0.0
    if expected_kg is not None and any(
        abs(middle * factor / expected_kg - 1) < NEAR_FRACTION / 2
        for factor in KG_PER_UNIT.values()
    ):
        return "mass", ("mass", None)
    return None, ()


def _answered(
    column: Column, asked: tuple[Field | None, ...], choices: Choices
) -> tuple[Column, Guess | None]:
    """Take an answer about a column, or make the question."""
    key = f"{column.place} {column.name}"[:120]
    answer = choices.columns.get(key)
    offered = [field or BESIDE for field in asked]
    if answer in offered:
        field = asked[offered.index(answer)]
        return replace(column, field=field), None
    if not asked:
        return column, None
    unit = f", its unit is {column.unit}" if column.unit else ""
    guess = Guess(
        topic="column",
        column=column.name,
        choice=offered[0],
        reason=f"the heading {column.name!r} does not say outright what it holds{unit}",
        alternatives=tuple(offered[1:]),
        key=key,
    )
    return column, guess


def _one_mass(
    columns: list[Column],
    contents: dict[int, Content],
    expected_kg: float | None,
    made_up: bool,
    guesses: list[Guess],
) -> list[Column]:
    """Drop masses guessed by size beside one named so; without any, take the first numbers."""
    named = [c for c in columns if c.field == "mass" and read_heading(c.name).field == "mass"]
    if named:
        guessed = {c.place for c in columns if c.field == "mass"} - {c.place for c in named}
        guessed = {n for n in guessed if not contents[n].units}
        keys = {f"{c.place} {c.name}"[:120] for c in columns if c.place in guessed}
        guesses[:] = [guess for guess in guesses if guess.key not in keys]
        return [replace(c, field=None) if c.place in guessed else c for c in columns]
    if any(c.field == "mass" for c in columns) or (expected_kg is not None and not made_up):
        return columns
    for n, column in enumerate(columns):
        content = contents[column.place]
        free = column.field is None and not column.why
        free = free and (made_up or column.name == "value") and bool(content.values)
        numbers = content.share(content.numbers) > 0.5
        if free and numbers and 6 <= median(content.values) <= 500:
            columns[n] = replace(column, field="mass")
            return columns
    return columns


SINGLE = ("energy", "adherence", "cycle day", "steps", "time", "weekday")


def _only_first(
    columns: list[Column], contents: dict[int, Content], guesses: list[Guess]
) -> list[Column]:
    """Keep one column of a kind that a day has only once; notes and sessions may be many."""
    kept: list[Column] = []
    best: dict[str, int] = {}
    for column in columns:
        if column.field in SINGLE:
            before = best.get(column.field)
            if before is None or contents[before].told == 0:
                best[column.field] = column.place
    for column in columns:
        if (
            column.field in SINGLE
            and best[column.field] != column.place
            and column.field != "energy"
        ):
            column = replace(column, field=None, why=f"there is another column of {column.field}")
        if column.field == "date" and any(c.field == "date" for c in kept):
            column = replace(column, field=None, why="there is another column of dates")
        kept.append(column)
    return _one_energy(kept, guesses)


def _one_energy(columns: list[Column], guesses: list[Guess]) -> list[Column]:
    """Of two columns of energy keep both only where they are one amount in two units."""
    found = [column for column in columns if column.field == "energy"]
    if len(found) < 2:
        return columns
    units = {column.unit for column in found}
    first = found[0]
    both = len(found) == 2 and units == {"kcal", "kj"}
    why = "the same in another unit" if both else "there is another column of energy"
    if not both:
        guesses.append(
            Guess(
                topic="column",
                column=first.name,
                choice="energy",
                reason="more than one column holds energy; the others are kept beside the day",
            )
        )
    return [
        replace(c, field=None, why=why) if c.field == "energy" and c is not first else c
        for c in columns
    ]
