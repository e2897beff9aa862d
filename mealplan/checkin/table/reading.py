"""What is understood of a table, and what of it is asked: the words between reader and page."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from pydantic import BaseModel, ConfigDict

from mealplan.checkin.log.entries import AnyEntry, MassUnit
from mealplan.checkin.log.log import Log, Superseded
from mealplan.errors import CheckInError

DateOrder = Literal["ymd", "dmy", "mdy"]
Topic = Literal[
    "mass unit",
    "date order",
    "decimal mark",
    "energy unit",
    "girth unit",
    "column",
    "year",
    "shape",
]
LEAVE_OUT = "leave it out"
"""The answer that takes nothing of a cell."""
MOST_DOUBTS = 120
"""Cells asked about one by one; what goes beyond is left out and said."""


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
    year: int | None = None
    columns: Mapping[str, str] = {}
    """What a column holds, by the key of its question."""
    cells: Mapping[str, str] = {}
    """One of the options of a cell's question, by its key."""


class Guess(CsvPart):
    """One thing the file does not say outright."""

    topic: Topic
    column: str
    choice: str
    reason: str
    alternatives: tuple[str, ...] = ()
    sure: bool = False
    key: str = ""
    """What an answer about one column goes by."""


class ColumnTaken(CsvPart):
    """One column as it stands and what it is taken for."""

    name: str
    taken_for: str
    cells: int
    """Cells of it that say something."""


class Doubt(CsvPart):
    """One cell, or one row's day, that is asked about; the first option is what is proposed."""

    key: str
    line: int
    column: str
    cell: str
    why: str
    options: tuple[str, ...]
    chosen: str


class Unread(CsvPart):
    """A row or a cell that gives no reading; nothing of it is thrown away unsaid."""

    line: int
    column: str
    what: str
    why: str
    mend: str
    row: tuple[str, ...]


class CsvReading(CsvPart):
    """
    What was understood of a file.

    Attributes
    ----------
    entries : tuple of entries
        With what is proposed, or was chosen, where a cell is asked about.
    history : tuple of Superseded
        Only from files this program wrote.
    guesses : tuple of Guess
    doubts : tuple of Doubt
        Cells that are asked about.
    unread : tuple of Unread
        What is left out and needs a look.
    aside : tuple of Unread
        What holds no reading: titles, means, sums, a row that stands twice.
    columns : tuple of ColumnTaken
    rows : int
        Rows that say anything, the heading left out.
    """

    entries: tuple[AnyEntry, ...]
    history: tuple[Superseded, ...] = ()
    guesses: tuple[Guess, ...]
    doubts: tuple[Doubt, ...] = ()
    unread: tuple[Unread, ...]
    aside: tuple[Unread, ...] = ()
    columns: tuple[ColumnTaken, ...] = ()
    rows: int

    @property
    def open_guesses(self) -> tuple[Guess, ...]:
        """Guesses that somebody has to confirm."""
        return tuple(guess for guess in self.guesses if not guess.sure)

    def to_log(self, *, confirmed: bool) -> Log:
        """
        Return the entries as a log.

        Parameters
        ----------
        confirmed : bool
            True once the client or coach has agreed with what is proposed.

        Raises
        ------
        CheckInError
            When something is asked and nobody confirmed it.
        """
        asked = [f"{g.topic}: {g.choice} ({g.reason})" for g in self.open_guesses]
        asked += [f"line {d.line}, {d.column}: {d.chosen} ({d.why})" for d in self.doubts]
        if asked and not confirmed:
            more = f"; and {len(asked) - MOST_NAMED} more" if len(asked) > MOST_NAMED else ""
            raise CheckInError(
                f"the file leaves open what it means: {'; '.join(asked[:MOST_NAMED])}{more}. "
                "Confirm, or choose otherwise"
            )
        return Log(entries=self.entries, history=self.history)


MOST_NAMED = 8
"""Questions named in one sentence; the rest are counted."""
