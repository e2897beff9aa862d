"""Bodies of the interface's table: what is shared, who sits at it, what was planned."""

from __future__ import annotations

import datetime as dt

from pydantic import Field

from api.json.schemas import ClosedBody
from mealplan.client.intake import Date
from mealplan.shopping.door import ShoppingList
from mealplan.table.model import Guest, SharedMeal


class TableWish(ClosedBody):
    """What is shared at a client's table, and who eats along."""

    shared: tuple[str, ...] = Field(
        min_length=1, max_length=24, examples=[["dinner", "saturday lunch"]]
    )
    guests: tuple[Guest, ...] = Field(default=(), max_length=20)


class TablePlanWish(ClosedBody):
    """Days to plan for everyone at a table."""

    first: Date | None = Field(
        default=None,
        description="First day; the intake's start when left out",
        examples=["2026-12-07"],
    )
    days: int = Field(default=7, ge=1, le=28)


class SeatWish(ClosedBody):
    """Who sits down at a client's table: another client of the coach, or whoever takes an offer."""

    client_id: str = Field(default="", max_length=64)
    """Another client of the same coach."""
    offer: str = Field(default="", max_length=80)
    """What another coach handed over; this client then sits at that coach's table."""


class OfferBody(ClosedBody):
    """A seat offered to another coach, shown once."""

    offer: str


class TablePot(ClosedBody):
    """One pot for everyone at a table."""

    date: dt.date
    serve: str
    name: str
    plates: tuple[str, ...]
    """Parts of the pot by role."""


class TableBody(ClosedBody):
    """A table as everyone at it may see it."""

    eaters: tuple[str, ...]
    """Roles; the first one's kitchen cooks."""
    guests: tuple[str, ...]
    shared: tuple[str, ...]
    meals: tuple[SharedMeal, ...]
    pots: tuple[TablePot, ...] = ()
    shopping: ShoppingList | None = None
    """One for the shared meals of everyone; none until they are planned."""
