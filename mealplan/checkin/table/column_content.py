"""What stands in a column of a table, told from its cells."""

from __future__ import annotations

from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

from mealplan.checkin.log.entries import Side
from mealplan.checkin.table.amounts import said_of, values_of
from mealplan.checkin.table.daytext import day_text, time_text
from mealplan.checkin.table.headings import Field
from mealplan.checkin.table.words import FED, MORNING, words_of


@dataclass(frozen=True)
class Column:
    """
    One column and what it is taken for.

    Attributes
    ----------
    field : Field or None
        None for what is kept beside the day.
    unit : str or None
        That its heading names.
    why : str
        Why it holds no reading, where it holds none.
    """

    place: int
    name: str
    field: Field | None
    unit: str | None = None
    side: Side | None = None
    fed: bool | None = None
    morning: bool = False
    what: str = ""
    why: str = ""
    cells: int = 0


@dataclass(frozen=True)
class Content:
    """How many cells of a column read as what."""

    told: int
    days: int
    weekdays: int
    clocks: int
    numbers: int
    spans: int
    units: Counter[str]
    values: tuple[float, ...]
    """Bare numbers, decimals first."""

    def share(self, count: int) -> float:
        """
        Return a count as a share of the cells that say something.

        Parameters
        ----------
        count : int
        """
        return count / self.told if self.told else 0.0


def content_of(cells: Sequence[str]) -> Content:
    """
    Count what the cells of a column read as.

    Parameters
    ----------
    cells : sequence of str

    Returns
    -------
    Content
    """
    days = weekdays = clocks = numbers = spans = told = 0
    units: Counter[str] = Counter()
    values: list[float] = []
    for cell in cells:
        said = said_of(cell)
        if said.shape == "nothing":
            continue
        told += 1
        day = day_text(cell)
        days += day is not None and day.is_full
        weekdays += day is not None and day.weekday is not None and not day.numbers
        clocks += time_text(cell) is not None or _is_daytime(cell)
        if said.shape == "words":
            continue
        numbers += 1
        spans += said.shape == "span"
        units.update(part.unit for part in said.parts[:1] if part.unit)
        first = values_of(said.parts[0].digits, None) if said.parts[0].given is None else ()
        if said.parts[0].unit is None:
            values += first[:1]
    return Content(told, days, weekdays, clocks, numbers, spans, units, tuple(values))


def _is_daytime(cell: str) -> bool:
    found = words_of(cell)
    return 0 < len(found) <= 2 and all(word in FED or word in MORNING for word in found)
