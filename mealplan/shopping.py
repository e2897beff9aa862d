"""
From a plan to what is bought: raw and dry forms, refuse, whole packs, the cupboard first.

Every gram eaten is followed back through the yield and refuse of the food that was planned; packs
are rounded up so that nothing planned is missing.
"""

from __future__ import annotations

import datetime as dt
import itertools
import math
from collections.abc import Sequence

from pydantic import BaseModel, ConfigDict

from foods.catalogue import Catalogue, KitchenFood
from mealplan.errors import IntakeError
from mealplan.intake import Intake
from mealplan.plan import Plan

NOT_BOUGHT = frozenset({"water"})
"""Catalogue keys that come from the tap."""

SECOND_TRIP_AFTER_DAYS = 1
"""A fresh food that keeps this much shorter than it is needed is bought on a second trip."""


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class PackCount(_Part):
    """Packs of one size."""

    size_g: float
    count: int


class ListLine(_Part):
    """One thing to buy."""

    name: str
    aisle: str
    need_g: float
    """Weight of the bought form that the plan uses up, refuse included. [g]"""
    low_g: float
    high_g: float
    """The same where the yield varies from kitchen to kitchen. [g]"""
    from_cupboard_g: float = 0.0
    packs: tuple[PackCount, ...] = ()
    buy_g: float
    left_over_g: float
    dishes: tuple[str, ...]
    first_needed: dt.date
    second_trip_on: dt.date | None = None
    """Day to buy it fresh, when it would not keep from the first trip."""
    allergens: tuple[str, ...] = ()
    label_check: tuple[str, ...] = ()
    caution: str = ""

    def packs_text(self) -> str:
        """Say the packs, such as ``2 × 400 g``; loose weight when there are no packs."""
        if not self.packs:
            return "at home" if self.buy_g == 0 else f"{self.buy_g:,.0f} g"
        return " + ".join(f"{pack.count} × {weight_text(pack.size_g)}" for pack in self.packs)


class ShoppingList(_Part):
    """Everything a plan needs, by aisle."""

    start: dt.date
    days: int
    people: int
    lines: tuple[ListLine, ...]
    notes: tuple[str, ...] = ()

    def by_aisle(self) -> tuple[tuple[str, tuple[ListLine, ...]], ...]:
        """
        Group the lines by aisle in walking order.

        Returns
        -------
        tuple of (aisle, lines)
        """
        order = {aisle: place for place, aisle in enumerate(AISLES)}
        keyed = sorted(self.lines, key=lambda x: (order.get(x.aisle, len(order)), x.aisle, x.name))
        return tuple(
            (aisle, tuple(lines)) for aisle, lines in itertools.groupby(keyed, key=lambda x: x.aisle)
        )


AISLES: tuple[str, ...] = (
    "produce",
    "bakery",
    "refrigerated",
    "dry beans & grains",
    "rice & pasta",
    "breakfast cereal",
    "dry goods",
    "canned goods",
    "condiments",
    "spreads",
    "oils",
    "nuts & seeds",
    "dried fruit",
    "snacks",
    "baking",
    "herbs & spices",
    "drinks",
    "frozen",
)
"""Usual order of walking; aisles not named here come last."""


def weight_text(grams: float) -> str:
    """
    Write a weight as a shop does.

    Parameters
    ----------
    grams : float
        [g]

    Returns
    -------
    str
    """
    return f"{grams / 1000:g} kg" if grams >= 1000 and grams % 50 == 0 else f"{grams:,.0f} g"


def choose_packs(need_g: float, sizes_g: Sequence[float]) -> tuple[PackCount, ...]:
    """
    Choose whole packs that cover a need with least left over, then fewest packs.

    Parameters
    ----------
    need_g : float
        What must be covered, above 0. [g]
    sizes_g : sequence of float
        Sizes sold; at most four are looked at. [g]

    Returns
    -------
    tuple of PackCount
        Exact optimum over all combinations of the sizes.
    """
    sizes = sorted({size for size in sizes_g if size > 0}, reverse=True)[:4]
    best: tuple[float, int, tuple[int, ...]] | None = None
    most = [math.ceil(need_g / size - 1e-9) for size in sizes]
    ranges = [range(min(count, 12) + 1) for count in most[:-1]]
    for counts in itertools.product(*ranges):
        covered = sum(n * size for n, size in zip(counts, sizes, strict=False))
        last = max(0, math.ceil((need_g - covered) / sizes[-1] - 1e-9))
        total = covered + last * sizes[-1]
        if total < need_g - 1e-6:
            continue
        key = (round(total - need_g, 3), sum(counts) + last, (*counts, last))
        if best is None or key < best:
            best = key
    assert best is not None
    return tuple(
        PackCount(size_g=size, count=count)
        for size, count in zip(sizes, best[2], strict=True)
        if count
    )


class _Need:
    """What one bought form must cover."""

    def __init__(self, food: KitchenFood) -> None:
        self.food = food
        self.grams = 0.0
        self.low = 0.0
        self.high = 0.0
        self.dishes: dict[str, None] = {}
        self.days: list[dt.date] = []
        self.allergens: dict[str, None] = {}
        self.labels: dict[str, None] = {}


def _needs(plan: Plan, people: int) -> dict[str, _Need]:
    catalogue = Catalogue.load()
    needs: dict[str, _Need] = {}
    for day in plan.days:
        for meal in day.meals:
            bought_on = meal.leftover_from or day.date
            for serving in meal.servings:
                food = catalogue.food(serving.food)
                if food.key in NOT_BOUGHT:
                    continue
                need = needs.setdefault(food.bought_name, _Need(food))
                keep = 1 - food.bought_refuse_pct / 100
                grams = serving.grams * people
                need.grams += grams / food.yield_factor / keep
                need.low += grams / food.yield_high / keep
                need.high += grams / food.yield_low / keep
                need.dishes[meal.name] = None
                need.days.append(bought_on)
                need.allergens.update(dict.fromkeys(food.allergens))
                need.labels.update(dict.fromkeys(food.label_check))
    return needs


def _cupboard(intake: Intake) -> dict[str, float]:
    catalogue = Catalogue.load()
    at_home: dict[str, float] = {}
    for item in intake.kitchen.cupboard:
        try:
            food = catalogue.food(item.food)
        except Exception as error:
            raise IntakeError(f"kitchen.cupboard: {error}") from None
        at_home[food.bought_name] = at_home.get(food.bought_name, 0.0) + item.grams
    return at_home


def shopping_list(plan: Plan, intake: Intake) -> ShoppingList:
    """
    Work out what to buy for a plan.

    Parameters
    ----------
    plan : Plan
        Planned days.
    intake : Intake
        People to cook for, cupboard and pack units.

    Returns
    -------
    ShoppingList

    Raises
    ------
    IntakeError
        When the cupboard names an unknown food.
    """
    people = intake.kitchen.people
    at_home = _cupboard(intake)
    lines = []
    for name, need in _needs(plan, people).items():
        food = need.food
        taken = min(at_home.get(name, 0.0), need.grams)
        to_buy = need.grams - taken
        sizes = food.pack_us_g if intake.kitchen.units == "us" else food.pack_metric_g
        packs: tuple[PackCount, ...] = ()
        buy = 0.0
        if to_buy > 0.5:
            packs = choose_packs(_contents(food, to_buy), sizes) if sizes else ()
            buy = sum(pack.size_g * pack.count for pack in packs) if packs else _loose(to_buy)
        usable = _usable(food, buy) if packs else buy
        lines.append(
            ListLine(
                name=name,
                aisle=food.aisle,
                need_g=round(need.grams, 1),
                low_g=round(need.low, 1),
                high_g=round(need.high, 1),
                from_cupboard_g=round(taken, 1),
                packs=packs,
                buy_g=buy,
                left_over_g=round(max(0.0, usable + taken - need.grams), 1),
                dishes=tuple(need.dishes),
                first_needed=min(need.days),
                second_trip_on=_second_trip(food, need.days, plan.start),
                allergens=tuple(need.allergens),
                label_check=tuple(need.labels),
                caution=food.caution_text,
            )
        )
    return ShoppingList(
        start=plan.start,
        days=len(plan.days),
        people=people,
        lines=tuple(lines),
        notes=_notes(lines),
    )


def _contents(food: KitchenFood, drained_g: float) -> float:
    """Weight on the label that holds this much of the drained food."""
    return drained_g / food.drained_fraction if food.drained_fraction else drained_g


def _usable(food: KitchenFood, label_g: float) -> float:
    """Drained weight out of a weight on the label."""
    return label_g * food.drained_fraction if food.drained_fraction else label_g


def _loose(grams: float) -> float:
    """Round a loose weight up to what a shop's scale is asked for."""
    step = 10 if grams < 200 else 50
    return float(math.ceil(grams / step - 1e-9) * step)


def _second_trip(food: KitchenFood, days: Sequence[dt.date], start: dt.date) -> dt.date | None:
    if food.fridge_days is None or food.freezes:
        return None
    late = [day for day in days if (day - start).days > food.fridge_days + SECOND_TRIP_AFTER_DAYS]
    return min(late) if late else None


def _notes(lines: Sequence[ListLine]) -> tuple[str, ...]:
    notes = []
    trips = sorted({line.second_trip_on for line in lines if line.second_trip_on is not None})
    if trips:
        names = ", ".join(sorted(line.name for line in lines if line.second_trip_on is not None))
        notes.append(f"Buy fresh again on {trips[0]:%A}: {names} would not keep from the first trip.")
    notes += sorted({line.caution for line in lines if line.caution})
    return tuple(notes)
