"""Put the list together: needs, cupboard first, trips, packs, and what is left over."""

from __future__ import annotations

import datetime as dt
import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import Literal

from foods.composition.catalogue import Catalogue, KitchenFood
from foods.registry.errors import FoodError
from mealplan.client.household import ShopOptions
from mealplan.client.intake import CupboardItem, Intake
from mealplan.errors import IntakeError
from mealplan.kitchen.avoided import label_words
from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.kitchen.measures import in_measures
from mealplan.market.packs import Loose, PackCount, by_weight, choose_packs, loose_produce
from mealplan.market.price_list import PriceList, price_list
from mealplan.plan import Plan
from mealplan.shopping.lines import DishUse, ListLine, Section, ShoppingList
from mealplan.shopping.trips import SOME_SLACK_DAYS, Window, trip_days, trip_for, window_for
from mealplan.shopping.uses import Use, at_home_for, by_bought_name, uses_of
from mealplan.targets.shared_kitchen import IN_SPICES

KEEPS_FOR_WEEKS_DAYS = 21
"""What keeps this long cold is bought on the first trip and carried over. [days]"""
DELICATE_GROUPS = frozenset({"leafy greens", "fresh herbs", "berries", "mushrooms"})
"""Fresh produce that is spent on the day its keeping time ends."""
STAPLE_AISLES = frozenset({"herbs & spices", "oils", "condiments"})
STAPLE_FOODS = frozenset(
    {
        "baking_powder", "baking_soda", "yeast_dry", "vanilla_extract", "sugar", "sugar_brown",
        "cornstarch", "cocoa_powder", "maple_syrup", "molasses", "agave_syrup", "miso",
        "yeast_extract",
    }
)  # fmt: skip
"""Kept in most kitchens and used by the spoon."""
STAPLE_SHARE = 0.5
"""Less than this share of the smallest pack is checked at home instead of bought."""
ENOUGH_G = 0.5
"""A need smaller than this is covered by what clings to the jar. [g]"""


@dataclass(frozen=True)
class _Batch:
    """Uses of one bought thing on one trip."""

    uses: tuple[Use, ...]
    trip: dt.date
    fresh: bool
    freeze: bool

    @property
    def food(self) -> KitchenFood:
        return self.uses[0].form.food


def shopping_list(
    plan: Plan,
    intake: Intake,
    options: ShopOptions | None = None,
    prices: PriceList | None = None,
) -> ShoppingList:
    """
    Work out what to buy for a plan.

    Parameters
    ----------
    plan : Plan
        Planned days.
    intake : Intake
        People to cook for, cupboard, pack units and allergies.
    options : ShopOptions, optional
        Forms, packs, walking order, shopping days; the intake's own when left out.
    prices : PriceList, optional
        Chooses the cheapest packs and prices the lines; the household's own when left out.

    Returns
    -------
    ShoppingList

    Raises
    ------
    IntakeError
        When the cupboard, the packs or a replacement name an unknown food.
    """
    options = options or intake.kitchen.shop
    catalogue = catalogue_of(plan, intake)
    prices = prices or price_list(options, catalogue)
    _check_foods(options, catalogue)
    freezer = intake.kitchen.living.freezer
    gathered = by_bought_name(uses_of(plan, intake, options))
    trips = _trips(gathered, plan.start, options, freezer)
    at_home = _cupboard(at_home_for(plan, intake), catalogue)
    lines = []
    for uses in gathered.values():
        for batch in _batches(uses, trips, plan.start, freezer):
            name = batch.food.bought_name
            line = _line(batch, intake, options, at_home.get(name, 0.0), prices, plan.start)
            at_home[name] = max(0.0, at_home.get(name, 0.0) - line.from_cupboard_g)
            lines.append(line)
    used = sorted({line.trip_on for line in lines if line.trip_on and line.section == "buy"})
    portions = options.portions(intake.kitchen.people)
    return ShoppingList(
        start=plan.start,
        days=len(plan.days),
        people=len(portions),
        lines=tuple(lines),
        notes=(*_notes(lines, intake, plan.start), *_freezer_notes(plan, lines, freezer)),
        aisles=options.aisles,
        trips=tuple(sorted({plan.start, *used})),
        currency=prices.currency if prices is not None else "",
    )


def _check_foods(options: ShopOptions, catalogue: Catalogue) -> None:
    named: dict[str, Iterable[str]] = {
        "packs_g": options.packs_g,
        "instead": options.instead,
        "notes": options.notes,
    }
    for what, keys in named.items():
        for key in keys:
            try:
                catalogue.food(key)
            except FoodError as error:
                raise IntakeError(f"shop.{what}: {error}") from None


def _cupboard(items: Sequence[CupboardItem], catalogue: Catalogue) -> dict[str, float]:
    at_home: dict[str, float] = {}
    for item in items:
        try:
            food = catalogue.food(item.food)
        except FoodError as error:
            raise IntakeError(f"kitchen.cupboard: {error}") from None
        at_home[food.bought_name] = at_home.get(food.bought_name, 0.0) + item.grams
    return at_home


def _perishable(food: KitchenFood) -> bool:
    return food.fridge_days is not None and food.fridge_days < KEEPS_FOR_WEEKS_DAYS


def _can_freeze(use: Use, freezer: bool) -> bool:
    """Frozen food thaws soft: good for what is cooked or blended, not for a salad."""
    food = use.form.planned
    return freezer and food.freezes and (food.state != "raw" or food.role in ("fruit", "flavour"))


def _window(use: Use, start: dt.date) -> Window:
    food = use.form.food
    sturdy = food.aisle == "produce" and food.group not in DELICATE_GROUPS
    slack = SOME_SLACK_DAYS if sturdy and food.caution != "cook_sprouts" else 0
    return window_for(use.day, (food.fridge_days or 0) + slack, start)


def _trips(
    gathered: Mapping[str, Sequence[Use]], start: dt.date, options: ShopOptions, freezer: bool
) -> tuple[dt.date, ...]:
    if not options.second_trips:
        return (start,)
    windows = [
        _window(use, start)
        for uses in gathered.values()
        for use in uses
        if _perishable(use.form.food) and not _can_freeze(use, freezer)
    ]
    return trip_days(start, windows, options.shop_on)


def _batches(
    uses: Sequence[Use], trips: Sequence[dt.date], start: dt.date, freezer: bool
) -> tuple[_Batch, ...]:
    food = uses[0].form.food
    if not _perishable(food):
        return (_Batch(tuple(uses), start, fresh=True, freeze=False),)
    grouped: dict[dt.date, list[Use]] = {}
    stale: set[dt.date] = set()
    frozen: set[dt.date] = set()
    for use in uses:
        trip, fresh = trip_for(_window(use, start), trips)
        if not fresh and _can_freeze(use, freezer):
            frozen.add(trip)
        elif not fresh:
            stale.add(trip)
        grouped.setdefault(trip, []).append(use)
    return tuple(
        _Batch(tuple(grouped[trip]), trip, fresh=trip not in stale, freeze=trip in frozen)
        for trip in sorted(grouped)
    )


def _to_read(food: KitchenFood, allergens: Sequence[str], intake: Intake) -> tuple[str, ...]:
    """Give what a label must be read for: what this household avoids and it may hold."""
    avoided = label_words(intake)
    spice = sorted(IN_SPICES) if food.group == "spices" else ()
    held = (word for word in (*food.label_check, *allergens, *spice) if word in avoided)
    return tuple(dict.fromkeys((*food.plant_label, *held)))


def _line(
    batch: _Batch,
    intake: Intake,
    options: ShopOptions,
    at_home_g: float,
    prices: PriceList | None,
    start: dt.date,
) -> ListLine:
    food = batch.food
    need = round(sum(use.bought_g for use in batch.uses), 1)
    ranges = [use.form.range_g(use.eaten_g) for use in batch.uses]
    taken = round(min(at_home_g, need), 1)
    to_buy = need - taken
    sizes = _sizes(food, intake, options)
    loose = None if food.key in options.packs_g else loose_produce().get(food.bought_name)
    known = prices.packs(food) if prices is not None else {}
    enough = taken > 0 and to_buy <= ENOUGH_G
    packs, pieces, buy = _purchase(0.0 if enough else to_buy, sizes, loose, known)
    staple = options.staples_at_home and _staple(food, to_buy, sizes)
    section: Section = "at home" if enough else "check at home" if staple else "buy"
    keep_on = food.fridge_days is not None
    need, left = (taken, 0.0) if enough else (need, round(buy + taken - need, 1))
    allergens = tuple(dict.fromkeys(a for use in batch.uses for a in _allergens(use)))
    return ListLine(
        name=food.bought_name,
        shop_name=food.shop_name,
        aisle=food.aisle,
        section=section,
        foods=tuple(dict.fromkeys(use.form.planned.key for use in batch.uses)),
        bought=food.key,
        eaten_g=round(sum(use.eaten_g for use in batch.uses), 1),
        need_g=need,
        low_g=round(min(need, sum(low for low, _ in ranges)), 1),
        high_g=round(max(need, sum(high for _, high in ranges)), 1),
        thrown_g=round(sum(_thrown_g(use) for use in batch.uses), 1),
        from_cupboard_g=taken,
        packs=packs,
        pieces=pieces,
        piece_name="" if loose is None else (loose.one if pieces <= 1 else loose.many),
        buy_g=buy,
        left_over_g=left,
        dishes=tuple(dict.fromkeys(use.dish_name for use in batch.uses)),
        uses=_dish_uses(batch.uses),
        first_needed=min(use.day for use in batch.uses),
        trip_on=batch.trip,
        second_trip_on=batch.trip if batch.trip != start else None,
        freeze_from=_freeze_from(batch) if batch.freeze else None,
        past_best=not batch.fresh,
        use_by=batch.trip + dt.timedelta(days=food.fridge_days or 0) if keep_on else None,
        running_low=bool(at_home_g) and not keep_on and at_home_g + buy - need < need,
        allergens=allergens,
        label_check=food.label_check,
        read_label=_to_read(food, allergens, intake),
        need_measure=_need_measure(batch, intake),
        form_note=next((use.form.note for use in batch.uses if use.form.note), ""),
        note=next((options.notes[k] for k in _keys(batch) if k in options.notes), ""),
        units=intake.kitchen.units,
        fluid=_fluid(food),
        price=_price(packs, pieces, buy, food, prices),
    )


def _need_measure(batch: _Batch, intake: Intake) -> str:
    """Spoons or cups of a food eaten as it is bought, such as a spice."""
    if any(
        use.form.planned.key != batch.food.key or use.form.yield_factor != 1 for use in batch.uses
    ):
        return ""
    eaten = sum(use.eaten_g for use in batch.uses)
    return in_measures(batch.food, eaten, intake.kitchen.units)


def _keys(batch: _Batch) -> tuple[str, ...]:
    return (batch.food.key, *(use.form.planned.key for use in batch.uses))


def _allergens(use: Use) -> tuple[str, ...]:
    return tuple(dict.fromkeys((*use.form.planned.allergens, *use.form.food.allergens)))


def _fluid(food: KitchenFood) -> Literal["", "drink", "oil"]:
    if food.aisle == "oils" and food.state == "liquid":
        return "oil"
    return "drink" if food.aisle == "drinks" and food.state == "liquid" else ""


def _sizes(food: KitchenFood, intake: Intake, options: ShopOptions) -> tuple[float, ...]:
    if food.key in options.packs_g:
        return options.packs_g[food.key]
    return food.pack_us_g if intake.kitchen.units == "us" else food.pack_metric_g


def _purchase(
    to_buy_g: float,
    sizes_g: Sequence[float],
    loose: Loose | None,
    prices: Mapping[float, float],
) -> tuple[tuple[PackCount, ...], float, float]:
    """Packs, pieces and grams to ask for."""
    if to_buy_g <= 0:
        return (), 0.0, 0.0
    if loose is not None and loose.one:
        pieces = loose.pieces(to_buy_g)
        return (), pieces, round(pieces * loose.each_g, 1)
    if loose is not None:
        return (), 0.0, math.ceil(to_buy_g / loose.each_g - 1e-9) * loose.each_g
    if not sizes_g:
        return (), 0.0, by_weight(to_buy_g)
    packs = choose_packs(to_buy_g, sizes_g, prices)
    return packs, 0.0, round(sum(pack.size_g * pack.count for pack in packs), 1)


def is_staple(food: KitchenFood) -> bool:
    """
    Say whether a kitchen has a food at home and uses little of it at a time.

    Parameters
    ----------
    food : KitchenFood
        As bought.

    Returns
    -------
    bool
    """
    return food.aisle in STAPLE_AISLES or food.key in STAPLE_FOODS


def _staple(food: KitchenFood, to_buy_g: float, sizes_g: Sequence[float]) -> bool:
    if not is_staple(food):
        return False
    return bool(sizes_g) and to_buy_g < STAPLE_SHARE * min(sizes_g)


def _thrown_g(use: Use) -> float:
    """Refuse, and what drains off or is left of a squeezed fruit."""
    bought = use.bought_g
    edible = bought * (1 - use.form.refuse_fraction)
    drained = use.form.food.aisle == "canned goods" or use.form.planned.state in ("liquid", "raw")
    lost = max(0.0, edible - use.eaten_g) if drained else 0.0
    return bought - edible + lost


def _dish_uses(uses: Sequence[Use]) -> tuple[DishUse, ...]:
    found: dict[tuple[str, dt.date], DishUse] = {}
    for use in uses:
        place = (use.dish, use.day)
        before = found[place].need_g if place in found else 0.0
        found[place] = DishUse(
            dish=use.dish, name=use.dish_name, day=use.day, need_g=round(before + use.bought_g, 1)
        )
    return tuple(found.values())


def _freeze_from(batch: _Batch) -> dt.date:
    return batch.trip + dt.timedelta(days=batch.food.fridge_days or 0)


def _price(
    packs: Sequence[PackCount],
    pieces: float,
    buy_g: float,
    food: KitchenFood,
    prices: PriceList | None,
) -> float | None:
    if prices is None:
        return None
    if not buy_g:
        return 0.0
    return prices.cost(food, packs, buy_g)


def _freezer_notes(plan: Plan, lines: Sequence[ListLine], freezer: bool) -> tuple[str, ...]:
    """Say what comes out of the freezer, and what cannot be kept where there is none."""
    taken = [
        f"{meal.name} ({meal.kept_label.removeprefix('from the freezer, ')}) for {day.date:%A}"
        for day in plan.days
        for meal in day.meals
        if meal.from_freezer
    ]
    notes = [f"In the freezer already: {'; '.join(taken)}."] if taken else []
    bought = sorted({line.shop_name for line in lines if line.aisle == "frozen" and line.buy_g})
    if bought and not freezer:
        notes.append(
            f"Without a freezer, buy what is frozen on the day it is used: {', '.join(bought)}."
        )
    return tuple(notes)


def _notes(lines: Sequence[ListLine], intake: Intake, start: dt.date) -> tuple[str, ...]:
    notes = []
    later: dict[dt.date, list[str]] = {}
    for line in lines:
        if line.second_trip_on is not None and line.section == "buy":
            later.setdefault(line.second_trip_on, []).append(line.shop_name)
    for day in sorted(later):
        names = ", ".join(sorted(later[day]))
        notes.append(
            f"Buy on {day:%A %d %B}, because it would not keep from the first trip: {names}."
        )
    frozen = sorted(line.shop_name for line in lines if line.freeze_from is not None)
    if frozen:
        notes.append(
            f"Freeze on the day you buy what is for later in the week: {', '.join(frozen)}."
        )
    stale = sorted(line.shop_name for line in lines if line.past_best)
    if stale:
        notes.append(
            f"Past its best when it is used, because no shopping day fits: {', '.join(stale)}."
        )
    low = sorted({line.shop_name for line in lines if line.running_low})
    if low:
        notes.append(f"Running low after this week: {', '.join(low)}.")
    notes += sorted({line.form_note for line in lines if line.form_note})
    words = sorted({word for line in lines for word in line.read_label})
    if words:
        count = len({line.name for line in lines if line.read_label})
        notes.append(
            f"Read the label of the {count} marked lines for {', '.join(words)}: recipe and shared "
            "line. Labels decide, not this list."
        )
    return tuple(notes)
