"""What a cell of a table may hold, in one unit, and whether a body can be so."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from mealplan.checkin.log.entries import CM_PER_UNIT, KG_PER_UNIT
from mealplan.checkin.table.amounts import CellSaid
from mealplan.checkin.table.column_content import Column
from mealplan.checkin.table.reading import LEAVE_OUT
from mealplan.checkin.table.units import TRUNK
from mealplan.science.units import LB_PER_STONE, kcal_from_kj


class CellError(ValueError):
    """One cell cannot be read."""

    def __init__(self, why: str, mend: str) -> None:
        super().__init__(f"{why}; {mend}")
        self.why = why
        self.mend = mend


@dataclass(frozen=True)
class Option:
    """One thing a cell may mean; without a value, nothing is taken."""

    words: str
    value: float | None = None
    unit: str = ""


NOTHING = Option(LEAVE_OUT)


@dataclass
class Item:
    """One amount of one cell, and what is asked about it."""

    row: int
    column: Column
    cell: str
    said: CellSaid
    value: float
    unit: str
    named: bool
    """True when the cell itself names the unit."""
    why: str = ""
    options: list[Option] = field(default_factory=list)

    @property
    def base(self) -> float:
        """The amount in kg, kcal, cm, minutes or steps."""
        return in_base(self.value, self.unit)

    def ask(self, why: str, options: Sequence[Option]) -> None:
        """
        Ask about the cell, unless something is asked already.

        Parameters
        ----------
        why : str
        options : sequence of Option
            The likeliest first.
        """
        if self.why:
            return
        self.why = why
        seen = {option.words: option for option in reversed([*options, NOTHING])}
        self.options = list(dict.fromkeys([*options, NOTHING]))
        self.options = [option for option in self.options if seen[option.words] is option]


def in_base(value: float, unit: str) -> float:
    """
    Bring an amount to kg, kcal, cm, minutes or steps.

    Parameters
    ----------
    value : float
    unit : str

    Returns
    -------
    float
    """
    if unit in ("kg", "lb", "st"):
        return value * {str(u): f for u, f in KG_PER_UNIT.items()}[unit]
    if unit == "kj":
        return kcal_from_kj(value)
    if unit in ("cm", "in"):
        return value * {str(u): f for u, f in CM_PER_UNIT.items()}[unit]
    return value


def in_words(value: float, unit: str) -> str:
    """
    Write an amount with its unit.

    Parameters
    ----------
    value : float
    unit : str

    Returns
    -------
    str
    """
    if unit == "st":
        stones, pounds = divmod(value * LB_PER_STONE + 1e-9, LB_PER_STONE)
        return f"{stones:.0f} st {round(pounds, 2):g}"
    shown = {"kj": "kJ", "steps": "steps"}.get(unit, unit)
    return f"{round(value, 3):g} {shown}"


PLAUSIBLE = {
    "mass": (25.0, 350.0), "energy": (300.0, 9_000.0), "training": (1.0, 900.0),
    "steps": (50.0, 90_000.0), "neck": (25.0, 65.0), "thigh": (30.0, 110.0),
    "calf": (20.0, 70.0), "upper arm": (15.0, 70.0), "cycle day": (1.0, 120.0),
}  # fmt: skip
"""What an adult's day holds, beyond which a cell is asked about (common practice)."""
TRUNK_CM = (45.0, 200.0)


def plausible(kind: str, base: float) -> bool:
    """
    Say whether an amount can be an adult's.

    Parameters
    ----------
    kind : str
        Of the column.
    base : float
        In kg, kcal, cm, minutes or steps.

    Returns
    -------
    bool
    """
    low, high = PLAUSIBLE.get(kind, TRUNK_CM if kind in TRUNK else (-1e12, 1e12))
    return low <= base <= high


UNITS_OF: dict[str, tuple[str, ...]] = {
    "training": ("min", "h"),
    "mass": ("kg", "lb", "st", "g"),
    "energy": ("kcal", "kj", "mj", "k"),
    "steps": ("steps", "k"),
}
Found = list[tuple[float, str]]
