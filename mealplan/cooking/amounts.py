"""Amounts for a whole batch, what they are before cooking, and their place in the method."""

from __future__ import annotations

import datetime as dt
import re
from collections.abc import Mapping, Sequence

from foods.composition.catalogue import Catalogue, KitchenFood
from mealplan.cooking.batches import Pot, cooked_in_dish
from mealplan.cooking.models import Amount
from mealplan.cooking.words import round_weight
from mealplan.kitchen.boiling import boiling_of
from mealplan.kitchen.measures import Units, kitchen_amount, number_in_kitchen
from mealplan.kitchen.method import dry_text
from mealplan.market.forms import BoughtForm
from mealplan.market.packs import loose_produce
from mealplan.plan import PlanDay

COOKED = frozenset({"boiled", "steamed", "baked", "grilled", "stir-fried"})


BOILED_AHEAD = "boiled ahead from "
"""How an amount begins that goes into the method boiled."""


ROOM_FOR_METHOD = re.compile(r"\b(half|rest|remaining|most|quarter|third|little|some|pinch)\b")


def _start_from(
    food: KitchenFood, grams: float, form: BoughtForm | None, units: Units, *, in_dish: bool
) -> str:
    """Say what an amount is before it is cooked or drained, where that differs."""
    if form is None:
        return ""
    if form.food.aisle == "canned goods":
        sizes = form.food.pack_us_g if units == "us" else form.food.pack_metric_g
        if form.food is food or not sizes:
            return ""
        tins = form.bought_g(grams) / sizes[0]
        return f"drained, {number_in_kitchen(round(tins * 4) / 4 or 0.25)} tins of {sizes[0]:.0f} g"
    row = boiling_of(food)
    if row is not None and row.kind in ("pulse", "grain"):
        dry_g, measure = dry_text(food, grams, units)
        ahead = BOILED_AHEAD if row.kind == "pulse" and not in_dish else ""
        return f"{ahead}{dry_g:.0f} g dry" + (f", about {measure}" if measure else "")
    if food.aisle != "produce" or food.state not in COOKED:
        return ""
    raw_g = form.bought_g(grams)
    loose = loose_produce().get(food.bought_name)
    spooned = food.measure.partition(",")[0] in ("cup", "tbsp", "tsp")
    if loose is None or not loose.one or not spooned or raw_g < 0.25 * loose.each_g:
        return f"{round_weight(raw_g):.0f} g raw as bought"
    count = round(2 * raw_g / loose.each_g) / 2 or 0.5
    return f"{round_weight(raw_g):.0f} g raw, about {number_in_kitchen(count)} " + (
        loose.one if count <= 1 else loose.many
    )


def amounts_of(
    pot: Pot, shares: float, units: Units, forms: Mapping[tuple[str, dt.date], BoughtForm]
) -> tuple[Amount, ...]:
    """
    Say what goes into a pot for everyone, food by food.

    Parameters
    ----------
    pot : Pot
        One dish of one day, with every portion that comes out of it.
    shares : float
        Portions in the pot, each eater by their share. [portions]
    units : Units
        The household's measures.
    forms : Mapping[tuple[str, date], BoughtForm]
        Form each food is bought in, by key and day of cooking.
    """
    catalogue = pot.catalogue
    found = []
    for key, (serving, grams) in pot.in_pot().items():
        food = catalogue.food(key)
        amount = kitchen_amount(food, round(grams * shares, 2), serving.called, units)
        found.append(
            Amount(
                food=key,
                called=serving.called,
                grams=round(grams * shares, 1),
                measure=amount.measure,
                phrase=amount.phrase,
                measured_g=round(amount.grams, 1),
                start_from=_start_from(
                    food,
                    grams * shares,
                    forms.get((key, pot.day.date)),
                    units,
                    in_dish=cooked_in_dish(serving, pot),
                ),
            )
        )
    return tuple(found)


def _in_method(amount: Amount, before: str) -> str:
    """Shorten an amount to what the sentence around it does not say already."""
    called = amount.called.lower()
    words = re.sub(r" \((\d[^)]*)\)", r" of \1", amount.measure).split()
    while len(words) > 1 and len(words[-1]) > 3 and _stem(words[-1]) in called:
        words.pop()
    said = " ".join(words)
    if not amount.start_from:
        return said
    if amount.start_from.startswith(BOILED_AHEAD):
        return f"{said}, {amount.start_from}"
    dry = "dry" in amount.start_from and not re.search(r"\b(cooked|boiled)\s*$", before)
    return f"{said}{' cooked' if dry else ''}: {amount.start_from}"


def _stem(word: str) -> str:
    return word.lower().removesuffix("s").removesuffix("e")


def scaled_method(method: Sequence[str], amounts: Sequence[Amount]) -> tuple[str, ...]:
    """
    Put the batch's amounts into the method, at the first mention of each food.

    Parameters
    ----------
    method : sequence of str
        Plain steps.
    amounts : sequence of Amount
        For the whole batch.

    Returns
    -------
    tuple of str
    """
    steps = list(method)
    spans: list[tuple[int, int, str]] = []
    taken: list[tuple[int, int, int]] = []
    for amount in sorted(amounts, key=lambda x: -len(x.called)):
        pattern = re.compile(rf"\b{re.escape(amount.called)}\b", re.IGNORECASE)
        for number, step in enumerate(steps):
            hit = next(
                (
                    found
                    for found in pattern.finditer(step)
                    if not any(
                        n == number and found.start() < end and start < found.end()
                        for n, start, end in taken
                    )
                ),
                None,
            )
            if hit is None:
                continue
            before = step[max(0, hit.start() - 24) : hit.start()]
            in_all = " in all" if ROOM_FOR_METHOD.search(before.rpartition(",")[2]) else ""
            taken.append((number, hit.start(), hit.end()))
            spans.append((number, hit.end(), f" ({_in_method(amount, before)}{in_all})"))
            break
    for number, place, text in sorted(spans, reverse=True):
        steps[number] = steps[number][:place] + text + steps[number][place:]
    return tuple(steps)


def amounts_in_words(amounts: Sequence[Amount]) -> dict[str, str]:
    """
    Give each food of a batch the words its amount has in the method.

    Parameters
    ----------
    amounts : sequence of Amount
        For the whole batch.

    Returns
    -------
    dict of str to str
        By the word the dish calls it.
    """
    found = {}
    for amount in amounts:
        raw = amount.start_from and " raw" in amount.start_from
        found[amount.called] = amount.start_from if raw else _in_method(amount, "")
    return found


def measuring_error_kcal(
    day: PlanDay, units: Units = "metric", catalogue: Catalogue | None = None
) -> float:
    """
    Sum what measuring by spoons, pieces and tins adds to a day, each error counted in full.

    Parameters
    ----------
    day : PlanDay
    units : {"metric", "us"}
    catalogue : Catalogue, optional
        With the plan's own foods; the shipped one when left out.

    Returns
    -------
    float
        Sum of the absolute errors, so an upper bound. [kcal]
    """
    catalogue = catalogue or Catalogue.load()
    total = 0.0
    for meal in day.meals:
        for serving in meal.servings:
            food = catalogue.food(serving.food)
            amount = kitchen_amount(food, serving.grams, serving.called, units)
            if serving.grams > 0:
                total += abs(amount.error_g) * serving.energy_kcal / serving.grams
    return total
