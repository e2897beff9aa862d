"""How this household lives and shops: variety, pots, forms, packs, days, and who eats what."""

from __future__ import annotations

import datetime as dt
from collections.abc import Iterable
from typing import Annotated, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, field_validator, model_validator

from foods.composition.catalogue import AISLES

ShopDay = Literal["mon", "tue", "wed", "thu", "fri", "sat", "sun"]


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False)


class Eater(_Part):
    """Someone who eats from the same pot."""

    label: str = Field(min_length=1, max_length=40)
    """A role such as ``partner``; never a person's name."""
    portion: float = Field(gt=0, le=3)
    """Their portion as a share of the client's. [1]"""


class PackPrice(_Part):
    """What a pack costs in the household's shop."""

    food: str = Field(min_length=1, max_length=80)
    """Catalogue key, or the name on the shopping list."""
    size_g: float = Field(gt=0, le=100_000)
    """Weight of the pack as bought. [g]"""
    price: float = Field(gt=0, lt=1_000_000)
    """In the household's currency."""


class FrozenPot(_Part):
    """Cooked portions in the freezer, with the day on their label."""

    dish: str = Field(min_length=1, max_length=80)
    """Key of the dish."""
    cooked_on: dt.date
    portions: int = Field(ge=1, le=60)
    grams: dict[str, Annotated[float, Field(gt=0, le=5000)]] = Field(min_length=1, max_length=40)
    """What one portion of the client's holds, by catalogue key. [g]"""


Variety = Literal["steady", "usual", "adventurous"]


Place = Literal["home", "microwave", "kettle", "nothing", "on the move"]
WORKDAYS: tuple[ShopDay, ...] = ("mon", "tue", "wed", "thu", "fri")
MealOfWeek = Annotated[
    str,
    Field(
        pattern=r"^(mon|tue|wed|thu|fri|sat|sun|weekdays|daily) (breakfast|midday|small|evening)$"
    ),
]
"""A meal by its days and occasion: ``tue evening``, ``weekdays midday``, ``daily small``."""


OUT_SPREAD = 0.2
"""How far a meal eaten out may lie from what is assumed of it (common practice). [1]"""


class MealOut(_Part):
    """A meal eaten out, which is neither planned nor shopped for."""

    meal: MealOfWeek
    kcal: float = Field(ge=50, le=4000)
    """Energy assumed of it. [kcal]"""
    sd_kcal: float | None = Field(default=None, ge=0, le=2000)
    """How far it may lie from that; a fifth of it when left out. [kcal]"""

    @property
    def spread_kcal(self) -> float:
        """How far its energy may lie from what is assumed [kcal]."""
        return OUT_SPREAD * self.kcal if self.sd_kcal is None else self.sd_kcal


class Living(_Part):
    """How this household lives with its food; the defaults suit most."""

    variety: Variety = "usual"
    """How often a dish may come back, and so how much there is to buy."""
    same_breakfast_on_weekdays: bool = False
    """True serves one breakfast from Monday to Friday."""
    things_most: int | None = Field(default=None, ge=12, le=120)
    """Most things to buy a week; what suits the variety when left out."""
    cooking_days: tuple[ShopDay, ...] = ()
    """Days on which dinners are cooked, in pots for the days after; none named means any day."""
    freezer: bool = True
    """False keeps nothing frozen: no pot beyond its days in the fridge, no fresh food bought to
    be frozen."""
    freezer_portions: int = Field(default=0, ge=0, le=60)
    """Cooked portions for later weeks there is room for; none freezes nothing for them."""
    with_kettle: tuple[MealOfWeek, ...] = Field(default=(), max_length=28)
    """Meals eaten away where there is a kettle; what a microwave does as well needs no more."""
    with_microwave: tuple[MealOfWeek, ...] = Field(default=(), max_length=28)
    """Meals eaten away where there is a microwave, which boils a jug of water too."""
    with_nothing: tuple[MealOfWeek, ...] = Field(default=(), max_length=28)
    """Meals eaten away where nothing can be heated."""
    on_the_move: tuple[MealOfWeek, ...] = Field(default=(), max_length=28)
    """Meals eaten from the hand."""
    eaten_out: tuple[MealOut, ...] = Field(default=(), max_length=28)
    """Meals eaten out, each with the energy assumed of it."""
    kept_cold: tuple[MealOfWeek, ...] = Field(default=(), max_length=28)
    """Meals eaten away that lie in a fridge or a cool box until then."""

    def out_at(self, weekday: str, occasion: str) -> MealOut | None:
        """
        Say what is assumed of a meal eaten out.

        Parameters
        ----------
        weekday : str
        occasion : str

        Returns
        -------
        MealOut or None
            None for a meal that is planned.
        """
        days = (weekday, "daily", *(("weekdays",) if weekday in WORKDAYS else ()))
        said = {f"{day} {occasion}" for day in days}
        return next((one for one in self.eaten_out if one.meal in said), None)

    def room_for_more(self, portions: int) -> bool:
        """
        Say whether the freezer holds more.

        Parameters
        ----------
        portions : int
            Those in it.

        Returns
        -------
        bool
        """
        return self.freezer and self.freezer_portions > portions

    def place_of(self, weekday: str, occasion: str) -> Place:
        """
        Say where a meal is eaten.

        Parameters
        ----------
        weekday : str
        occasion : str

        Returns
        -------
        {"home", "microwave", "kettle", "nothing", "on the move"}
            The barest place where a meal is named more than once; a kettle beside a microwave
            takes nothing from it.
        """
        said = _names_of(weekday, occasion)
        places: tuple[tuple[Place, tuple[str, ...]], ...] = (
            ("on the move", self.on_the_move),
            ("nothing", self.with_nothing),
            ("microwave", self.with_microwave),
            ("kettle", self.with_kettle),
        )
        return next((place for place, meals in places if said & set(meals)), "home")

    def is_kept_cold(self, weekday: str, occasion: str) -> bool:
        """
        Say whether what is carried to a meal lies cold until it is eaten.

        Parameters
        ----------
        weekday : str
        occasion : str

        Returns
        -------
        bool
        """
        return bool(_names_of(weekday, occasion) & set(self.kept_cold))

    def away_all_day(self, weekday: str, occasions: Iterable[str]) -> bool:
        """
        Say whether no meal of a day is eaten at home, so that nothing is cooked there.

        Parameters
        ----------
        weekday : str
        occasions : iterable of str
            Of the day's meals.

        Returns
        -------
        bool
        """
        return all(self.place_of(weekday, occasion) != "home" for occasion in occasions)


def _names_of(weekday: str, occasion: str) -> set[str]:
    """Name a meal of the week in every way it can be said."""
    days = (weekday, "daily", *(("weekdays",) if weekday in WORKDAYS else ()))
    return {f"{day} {occasion}" for day in days}


class ShopOptions(_Part):
    """What a household may set about its shopping; everything has a sensible default."""

    pulses: Literal["as planned", "dry", "canned", "by minutes"] = "as planned"
    """``by minutes`` boils dried ones; it and ``as planned`` buy cans where a day has no time."""
    produce: Literal["as planned", "fresh", "frozen"] = "as planned"
    """Whether vegetables and berries sold both ways are bought fresh or frozen."""
    instead: dict[str, str] = Field(default={}, max_length=500)
    """Catalogue key bought in place of another, for pairs in ``references/bought_forms.csv``."""
    packs_g: dict[str, tuple[float, ...]] = Field(default={}, max_length=500)
    """Pack sizes by catalogue key where the client's shop has others; empty: sold loose. [g]"""
    aisles: tuple[str, ...] = Field(default=AISLES, max_length=60)
    """Aisles in the order they are walked; those left out come last."""
    shop_on: tuple[ShopDay, ...] = Field(default=(), max_length=14)
    """Weekdays on which a second trip is possible; none named means any day."""
    second_trips: bool = True
    """False buys everything on the first day and says what will be past its best."""
    well_stocked: bool = False
    """True where shops with foods of many traditions are near: natto is no errand then."""
    staples_at_home: bool = True
    """Small amounts of spices, salt, oil and the like are checked at home, not bought weekly."""
    eaters: tuple[Eater, ...] = Field(default=(), max_length=12)
    """Everyone besides the client; when empty the intake's people each eat the client's portion."""
    notes: dict[str, Annotated[str, Field(max_length=400)]] = Field(default={}, max_length=500)
    """The client's own words beside a food, by catalogue key."""
    prices: tuple[PackPrice, ...] = Field(default=(), max_length=5_000)
    """What packs cost; a food without a row has no price and is never taken for free."""
    currency: str = "EUR"
    """Of the prices and the budget, by ISO 4217."""
    budget_per_week: float | None = Field(default=None, gt=0, lt=1_000_000)
    """Most that a week should cost, everyone who eats together."""
    budget_counts: Literal["till", "eaten"] = "till"
    """
    What the budget is held against: whole packs paid this week, what is at home taken off
    (``till``), or the worth of the food eaten (``eaten``), as it was counted before.
    """

    @field_validator("currency")
    @classmethod
    def _code(cls, currency: str) -> str:
        if not (len(currency) == 3 and currency.isascii() and currency.isupper()):
            raise ValueError(
                f"should be a currency's three capital letters (ISO 4217), such as EUR, not "
                f"{currency[:20]!r}"
            )
        return currency

    @model_validator(mode="after")
    def _plausible(self) -> Self:
        for key, sizes in self.packs_g.items():
            if any(not 1 <= size <= 50_000 for size in sizes):
                raise ValueError(
                    f"packs_g for {key} holds {list(sizes)}; give grams from 1 to 50,000, such as "
                    "[400, 800]"
                )
        if self.budget_per_week is not None and not self.prices:
            raise ValueError(
                f"budget_per_week={self.budget_per_week:g} needs prices to be counted in; add rows "
                'such as {"food": "chickpeas_canned", "size_g": 400, "price": 0.90} to prices'
            )
        twice = sorted({aisle for aisle in self.aisles if self.aisles.count(aisle) > 1})
        if twice:
            raise ValueError(f"aisles names {', '.join(twice)} twice; keep one")
        return self

    def clients_part(self, people: int) -> float:
        """
        Give the client's part of what everyone eats.

        Parameters
        ----------
        people : int
            People of the intake, used when no eaters are named.

        Returns
        -------
        float
            [1]
        """
        portions = [eater.portion for eater in self.portions(people)]
        return portions[0] / sum(portions)

    def portions(self, people: int) -> tuple[Eater, ...]:
        """
        Say who eats, the client first.

        Parameters
        ----------
        people : int
            People of the intake, used when no eaters are named.

        Returns
        -------
        tuple of Eater
        """
        client = Eater(label="client", portion=1.0)
        if self.eaters:
            return (client, *self.eaters)
        return (client, *(Eater(label=f"person {n}", portion=1.0) for n in range(2, people + 1)))
