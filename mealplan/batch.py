"""
What to cook when: the week as a cook works it, batch by batch, with boxes and soaking.

The plan says what is eaten; this module says what is put on the hob. Portions eaten later are
cooked with the first, beans bought dry are soaked the evening before and boiled once for all that
need them, rice is boiled fresh for a portion that would be too old, and every amount is for the
whole batch.
"""

from __future__ import annotations

import datetime as dt
import itertools
import re
from collections.abc import Iterable, Mapping, Sequence
from typing import Literal

from pydantic import BaseModel, ConfigDict

from foods.catalogue import Catalogue, KitchenFood
from foods.dishes import load_dishes
from foods.table import FoodTable
from mealplan.food_safety import Advice, advice_for, is_rice, keeping
from mealplan.household import Eater, ShopOptions
from mealplan.intake import Intake
from mealplan.measures import Units, kitchen_amount, number_in_kitchen
from mealplan.plan import Meal, Plan, PlanDay, Serving
from mealplan.references.tables import read_rows
from mealplan.shop.forms import BoughtForm
from mealplan.shop.packs import loose_produce
from mealplan.shop.uses import uses_of

BOILED_FOR_DAYS = 6
"""Beans are boiled once for as many days ahead; what is not eaten in time is frozen. [days]"""
EARLIEST = dt.time(7, 0)
"""Beans are not put on before this; the work moves to the evening before."""
REHEAT_MIN = 5
"""Hands-on time to reheat and serve a box. [min]"""
UNCOOKED = frozenset({"raw", "ready", "liquid", "roasted", "toasted", "dried", "ground", "hulled"})
"""States of what is added at the table rather than cooked in the pot."""
DRAIN_MIN = 7
"""Bringing a pan to the boil and draining it. [min]"""
COOL_MIN = 20
"""Cooling cooked rice on a tray. [min]"""
COOKED = frozenset({"boiled", "steamed", "baked", "grilled", "stir-fried"})
COUNTED_ROLES = frozenset({"starch", "protein", "vegetable", "fruit", "topping"})
"""Parts of a portion that can be measured out; oil and seasoning stay mixed in the pot."""
UNEVEN = 1.1
"""Portions that differ by more than this factor in a food have it measured out. [1]"""
ROOM_FOR_METHOD = re.compile(r"\b(half|rest|remaining|most|quarter|third|little|some|pinch)\b")


class _Part(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid")


class Caution(_Part):
    """Food-safety advice as it is shown, with its source."""

    text: str
    source: str


class Amount(_Part):
    """One food of a batch."""

    food: str
    called: str
    grams: float
    """For the whole batch, as the method weighs it. [g]"""
    measure: str
    phrase: str
    """Measure and name together."""
    measured_g: float
    """What the measure holds. [g]"""
    start_from: str = ""
    """What it is before cooking, such as ``85 g dry, about ½ cup`` or ``400 g raw, 2 potatoes``."""


class SetAside(_Part):
    """Boiled beans kept for a later day."""

    day: dt.date
    grams: float
    measure: str
    keep_in: Literal["fridge", "freezer"]


class Boil(_Part):
    """Something boiled ahead for one or more dishes."""

    food: str
    name: str
    kind: Literal["pulse", "grain", "bake", "vegetable"]
    day: dt.date
    dry_g: float
    dry_measure: str
    cooked_g: float
    water: str
    soak_hours: int
    minutes: int
    hands_on_min: int
    dishes: tuple[str, ...]
    evening_before: bool = False
    """Must be ready the evening before, because the dish stands overnight."""
    also_for: tuple[dt.date, ...] = ()
    """Later days whose cooking uses the rest."""
    set_aside: tuple[SetAside, ...] = ()
    """How the rest is kept until then."""
    cautions: tuple[Caution, ...] = ()


class Box(_Part):
    """One portion to put away."""

    eaten_on: dt.date
    label: str
    """Meal it is for."""
    eater: str
    percent_of_pot: int
    """Share of what is mixed in the pot that gives the portion its planned energy. [%]"""
    measured_out: tuple[str, ...]
    """Foods of this box that are not in the pot's proportion, each with its amount."""
    at_serving: tuple[str, ...]
    """Foods added on the day it is eaten."""
    boil_fresh: tuple[str, ...]
    """Rice that would be too old and is boiled on the day."""
    keep_in: Literal["fridge", "freezer"]
    eat_by: dt.date


class Cooking(_Part):
    """One dish cooked on one day."""

    dish: str
    name: str
    label: str
    start: str
    """Clock time to begin. [HH:MM]"""
    serve: str
    portions: int
    rounds: int
    """Times the method is gone through, when the batch is larger than one pan."""
    amounts: tuple[Amount, ...]
    method: tuple[str, ...]
    """Steps with the batch's amounts at the first mention of each food."""
    plates: tuple[str, ...]
    """Who eats now and how much of the pot."""
    boxes: tuple[Box, ...]
    hands_on_min: int
    total_min: int
    equipment: tuple[str, ...]
    left_out: tuple[str, ...] = ()
    """Add-ons the method mentions that are not used this time."""
    cautions: tuple[Caution, ...]


class Kept(_Part):
    """A box eaten today."""

    dish: str
    name: str
    label: str
    serve: str
    cooked_on: dt.date
    how: str
    add: tuple[str, ...]
    minutes: int
    cautions: tuple[Caution, ...]


class Step(_Part):
    """One line of the day's order of work."""

    clock: str
    text: str


class CookDay(_Part):
    """One day in the kitchen."""

    date: dt.date
    boils: tuple[Boil, ...]
    cookings: tuple[Cooking, ...]
    kept: tuple[Kept, ...]
    order: tuple[Step, ...]
    tonight: tuple[str, ...]
    """What to soak or boil this evening for tomorrow."""
    hands_on_min: int
    clashes: tuple[str, ...]
    """Work that falls into the same minutes and what to begin earlier."""
    measuring_error_kcal: float
    """What measuring instead of weighing adds to the day's energy. [kcal]"""


class BatchPlan(_Part):
    """What to cook on each day of a plan."""

    start: dt.date
    evening_before: tuple[str, ...]
    """What to soak before the first day."""
    days: tuple[CookDay, ...]
    cautions: tuple[Caution, ...] = ()
    """What holds for the whole week, such as an allergy at a shared table."""


class _Pot:
    """One dish of one day with every portion that comes out of it."""

    def __init__(self, day: PlanDay, meal: Meal, kept: Sequence[tuple[PlanDay, Meal]]) -> None:
        self.day = day
        self.meal = meal
        self.kept = kept
        self.dish = _DISHES[meal.dish]

    def portions(self) -> list[tuple[dt.date, Meal]]:
        return [(self.day.date, self.meal), *((day.date, meal) for day, meal in self.kept)]

    def serve_fresh(self, serving: Serving, eaten_on: dt.date) -> bool:
        """Say whether it is rice that would be older than it keeps in the fridge."""
        days = (eaten_on - self.day.date).days
        limit = keeping("rice").fridge_days
        return is_rice(serving.food) and days > limit and self.place(days) == "fridge"

    def place(self, days: int) -> Literal["fridge", "freezer"]:
        if days > keeping("cooked").fridge_days and self.dish.freezes:
            return "freezer"
        return "fridge"

    def at_serving(self, serving: Serving, eaten_on: dt.date) -> bool:
        """Say whether it goes on the plate: an add-on that is eaten as it is."""
        food = Catalogue.load().food(serving.food)
        later = eaten_on != self.day.date
        return later and serving.optional and (food.state in UNCOOKED)

    def in_pot(self) -> dict[str, tuple[Serving, float]]:
        """Sum each food in the pot over the client's portions, in grams."""
        found: dict[str, tuple[Serving, float]] = {}
        for eaten_on, meal in self.portions():
            for serving in meal.servings:
                if self.serve_fresh(serving, eaten_on) or self.at_serving(serving, eaten_on):
                    continue
                before = found[serving.food][1] if serving.food in found else 0.0
                found[serving.food] = (serving, before + serving.grams)
        return found


_KINDS: Mapping[str, Literal["pulse", "grain", "bake", "vegetable"]] = {
    "pulse": "pulse",
    "grain": "grain",
    "bake": "bake",
    "vegetable": "vegetable",
}
_DISHES = {dish.key: dish for dish in load_dishes()}
_BOILING = {row["food"]: row for row in read_rows("boiling.csv")}


def batch_plan(plan: Plan, intake: Intake, options: ShopOptions | None = None) -> BatchPlan:
    """
    Work out what to cook on each day.

    Parameters
    ----------
    plan : Plan
    intake : Intake
        People, units and the household's forms.
    options : ShopOptions, optional
        The intake's own when left out.

    Returns
    -------
    BatchPlan
    """
    options = options or intake.kitchen.shop
    eaters = options.portions(intake.kitchen.people)
    units: Units = intake.kitchen.units
    forms = _forms(plan, intake, options)
    dry = _bought_dry(forms)
    pots = _pots(plan)
    boils = _boils(pots, eaters, units, dry)
    days = []
    seen: set[str] = set()
    for day in plan.days:
        todays = [pot for pot in pots if pot.day.date == day.date]
        cookings = tuple(_cooking(pot, eaters, units, forms, seen) for pot in todays)
        own = tuple(boil for boil in boils if boil.day == day.date)
        kept = tuple(
            _kept(meal, _pot_of(pots, meal), day.date, eaters, units, seen)
            for meal in day.meals
            if meal.leftover_from is not None
        )
        days.append(_cook_day(plan, day, own, cookings, kept, units))
    evenings = _evenings(plan, days, boils, pots)
    shared = bool(intake.tastes.allergies) and len(eaters) > 1
    return BatchPlan(
        start=plan.start,
        evening_before=evenings.get(plan.start - dt.timedelta(days=1), ()),
        days=tuple(day.model_copy(update={"tonight": evenings.get(day.date, ())}) for day in days),
        cautions=_cautions(advice_for((), "allergy")) if shared else (),
    )


def _forms(
    plan: Plan, intake: Intake, options: ShopOptions
) -> dict[tuple[str, dt.date], BoughtForm]:
    """Give the form each food is bought in, by catalogue key and day of cooking."""
    return {(use.form.planned.key, use.day): use.form for use in uses_of(plan, intake, options)}


def _bought_dry(
    forms: Mapping[tuple[str, dt.date], BoughtForm],
) -> frozenset[tuple[str, dt.date]]:
    return frozenset(
        place
        for place, form in forms.items()
        if place[0] in _BOILING and form.food.aisle != "canned goods"
    )


def _pots(plan: Plan) -> list[_Pot]:
    pots = []
    for day in plan.days:
        for meal in day.meals:
            if meal.leftover_from is not None:
                continue
            kept = [
                (later, other)
                for later in plan.days
                for other in later.meals
                if other.leftover_from == day.date and other.dish == meal.dish
            ]
            pots.append(_Pot(day, meal, kept))
    return pots


def _pot_of(pots: Iterable[_Pot], meal: Meal) -> _Pot:
    return next(
        pot for pot in pots if pot.day.date == meal.leftover_from and pot.meal.dish == meal.dish
    )


def _cautions(found: Iterable[Advice], seen: set[str] | None = None) -> tuple[Caution, ...]:
    """Show general advice once a week, what belongs to one food every time."""
    shown = []
    for advice in found:
        if seen is not None and "any" in advice.groups:
            if advice.key in seen:
                continue
            seen.add(advice.key)
        shown.append(Caution(text=advice.text, source=advice.source))
    return tuple(shown)


def _dry_text(food: KitchenFood, cooked_g: float, units: Units) -> tuple[float, str]:
    """Weight and measure of the dry form that boils to an amount."""
    dry_g = cooked_g / food.yield_factor
    cups = [
        portion.grams_each
        for portion in FoodTable.load().portions(food.bought_ndb)
        if portion.measure.partition(",")[0].strip() in ("cup", "cup spaghetti", "cup elbows")
        or portion.measure.startswith("cup")
    ]
    if not cups:
        return dry_g, ""
    as_cup = food.model_copy(
        update={
            "measure": "cup", "measure_g": cups[0], "drained_fraction": None, "aisle": "",
            "name": food.bought_name,
        }
    )  # fmt: skip
    spoon = cups[0] / 16
    rounded = round(dry_g / spoon) * spoon or spoon
    return dry_g, kitchen_amount(as_cup, rounded, food.bought_name, units).measure


def _start_from(food: KitchenFood, grams: float, form: BoughtForm | None, units: Units) -> str:
    """Say what an amount is before it is cooked or drained, where that differs."""
    if form is None:
        return ""
    if form.food.aisle == "canned goods":
        sizes = form.food.pack_us_g if units == "us" else form.food.pack_metric_g
        if form.food is food or not sizes:
            return ""
        tins = form.bought_g(grams) / sizes[0]
        return f"drained, {number_in_kitchen(round(tins * 4) / 4 or 0.25)} tins of {sizes[0]:.0f} g"
    if food.key in _BOILING and _BOILING[food.key]["kind"] in ("pulse", "grain"):
        dry_g, measure = _dry_text(food, grams, units)
        return f"{dry_g:.0f} g dry" + (f", about {measure}" if measure else "")
    if food.aisle != "produce" or food.state not in COOKED:
        return ""
    raw_g = form.bought_g(grams)
    loose = loose_produce().get(food.bought_name)
    spooned = food.measure.partition(",")[0] in ("cup", "tbsp", "tsp")
    if loose is None or not loose.one or not spooned or raw_g < 0.25 * loose.each_g:
        return f"{_round(raw_g):.0f} g raw as bought"
    count = round(2 * raw_g / loose.each_g) / 2 or 0.5
    return f"{_round(raw_g):.0f} g raw, about {number_in_kitchen(count)} " + (
        loose.one if count <= 1 else loose.many
    )


def _round(grams: float) -> float:
    return round(grams / 5) * 5 if grams >= 20 else round(grams)


def _amounts(
    pot: _Pot, shares: float, units: Units, forms: Mapping[tuple[str, dt.date], BoughtForm]
) -> tuple[Amount, ...]:
    catalogue = Catalogue.load()
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
                start_from=_start_from(food, grams * shares, forms.get((key, pot.day.date)), units),
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


def _measured_out(serving: Serving, food: KitchenFood, pot: _Pot) -> bool:
    """Say whether a portion of it can be told apart: an add-on, or what is served beside."""
    if food.role not in COUNTED_ROLES:
        return False
    beside = food.key in _BOILING and food.role == "starch" and not _cooked_in_dish(serving, pot)
    return serving.optional or beside or food.measure.partition(" ")[0] in ("pita", "tortilla")


def _aside(pot: _Pot) -> frozenset[str]:
    """Find the foods that are measured out because portions hold different shares of them."""
    portions = pot.portions()
    uneven = set()
    for key, (serving, _) in pot.in_pot().items():
        amounts = [
            sum(
                other.grams
                for other in meal.servings
                if other.food == key
                and not pot.serve_fresh(other, eaten_on)
                and not pot.at_serving(other, eaten_on)
            )
            for eaten_on, meal in portions
        ]
        food = Catalogue.load().food(key)
        if max(amounts) > UNEVEN * min(amounts) and _measured_out(serving, food, pot):
            uneven.add(key)
    return frozenset(uneven)


def _box(
    pot: _Pot, eaten_on: dt.date, meal: Meal, eater: Eater, shares: float, units: Units
) -> Box:
    catalogue = Catalogue.load()
    kept = [
        s
        for s in meal.servings
        if not pot.serve_fresh(s, eaten_on) and not pot.at_serving(s, eaten_on)
    ]
    aside = _aside(pot)
    apart = []
    mixed_kcal = 0.0
    for serving in kept:
        if serving.food in aside:
            food = catalogue.food(serving.food)
            own_g = serving.grams * eater.portion
            apart.append(kitchen_amount(food, own_g, serving.called, units).phrase)
        else:
            mixed_kcal += serving.energy_kcal * eater.portion
    pot_kcal = sum(
        grams * shares * serving.energy_kcal / serving.grams
        for key, (serving, grams) in pot.in_pot().items()
        if key not in aside
    )
    share = mixed_kcal / pot_kcal if pot_kcal else 0.0
    days = (eaten_on - pot.day.date).days
    place = pot.place(days)
    limits = keeping("cooked")
    longest = (
        limits.freezer_days
        if place == "freezer"
        else min(limits.fridge_days, max(pot.dish.keeps_days, days))
    )
    rice_inside = any(is_rice(s.food) for s in kept) and place == "fridge"
    if rice_inside:
        longest = keeping("rice").fridge_days

    def said(serving: Serving) -> str:
        food = catalogue.food(serving.food)
        return kitchen_amount(food, serving.grams * eater.portion, serving.called, units).phrase

    def fresh(serving: Serving) -> str:
        food = catalogue.food(serving.food)
        dry_g, measure = _dry_text(food, serving.grams * eater.portion, units)
        return f"{said(serving)} (from {dry_g:.0f} g dry{', about ' + measure if measure else ''})"

    return Box(
        eaten_on=eaten_on,
        label=meal.label,
        eater=eater.label,
        percent_of_pot=round(100 * share),
        measured_out=tuple(apart),
        at_serving=tuple(said(s) for s in meal.servings if pot.at_serving(s, eaten_on)),
        boil_fresh=tuple(fresh(s) for s in meal.servings if pot.serve_fresh(s, eaten_on)),
        keep_in=place,
        eat_by=pot.day.date + dt.timedelta(days=longest),
    )


def _cooking(
    pot: _Pot,
    eaters: Sequence[Eater],
    units: Units,
    forms: Mapping[tuple[str, dt.date], BoughtForm],
    seen: set[str],
) -> Cooking:
    shares = sum(eater.portion for eater in eaters)
    amounts = _amounts(pot, shares, units, forms)
    boxes = tuple(
        _box(pot, eaten_on, meal, eater, shares, units)
        for eaten_on, meal in pot.portions()[1:]
        for eater in eaters
    )
    now = [_box(pot, pot.day.date, pot.meal, eater, shares, units) for eater in eaters]
    portions = len(pot.portions()) * len(eaters)
    rounds = -(-portions // pot.dish.batch_portions)
    hot = _is_hot(pot)
    advice = advice_for((a.food for a in amounts), "cook")
    if boxes and hot:
        boxed = {s.food for _, meal in pot.portions()[1:] for s in meal.servings}
        advice += advice_for(boxed - {s for s in boxed if _always_fresh(pot, s)}, "keep")
    used = {a.food for a in amounts} | {s.food for _, m in pot.portions() for s in m.servings}
    return Cooking(
        dish=pot.dish.key,
        name=pot.meal.name,
        label=pot.meal.label,
        start=_clock(pot.day.date, pot.meal.time, -pot.meal.total_min),
        serve=pot.meal.time,
        portions=portions,
        rounds=rounds,
        amounts=amounts,
        method=scaled_method(pot.meal.method, amounts),
        plates=tuple(_plate(box, len(eaters) > 1, bool(boxes)) for box in now),
        boxes=boxes,
        hands_on_min=pot.meal.hands_on_min,
        total_min=pot.meal.total_min,
        equipment=pot.dish.equipment,
        left_out=tuple(line.called for line in pot.dish.lines if line.food not in used),
        cautions=_cautions(advice, seen),
    )


def _is_hot(pot: _Pot) -> bool:
    return bool({"hob", "oven", "grill", "microwave", "pressure cooker"} & set(pot.dish.equipment))


def _always_fresh(pot: _Pot, key: str) -> bool:
    """Say whether no box holds the food, because it is boiled fresh for each."""
    return is_rice(key) and all(
        pot.serve_fresh(serving, eaten_on)
        for eaten_on, meal in pot.portions()[1:]
        for serving in meal.servings
        if serving.food == key
    )


def _plate(box: Box, several: bool, kept: bool) -> str:
    who = f"{box.eater}: " if several else ""
    if not several and not kept:
        return "all of it"
    apart = f", with {', '.join(box.measured_out)}" if box.measured_out else ""
    return f"{who}{box.percent_of_pot} % of the pot{apart}"


def _kept(
    meal: Meal,
    pot: _Pot,
    eaten_on: dt.date,
    eaters: Sequence[Eater],
    units: Units,
    seen: set[str],
) -> Kept:
    shares = sum(eater.portion for eater in eaters)
    boxes = [_box(pot, eaten_on, meal, eater, shares, units) for eater in eaters]
    cold = not _is_hot(pot)
    frozen = boxes[0].keep_in == "freezer"
    how = "Eat it cold from the fridge." if cold else "Reheat it until it steams right through."
    if not cold and meal.occasion == "small" and pot.dish.portable:
        how = "Eat it cold, or reheat it until it steams right through."
    add = [
        f"{'' if len(eaters) == 1 else box.eater + ': '}{text}"
        for box in boxes
        for text in (*(f"boil fresh {said}" for said in box.boil_fresh), *box.at_serving)
    ]
    whens: tuple[Literal["reheat", "thaw"], ...] = ("thaw",) if frozen else ("reheat",)
    fresh = any(box.boil_fresh for box in boxes)
    return Kept(
        dish=meal.dish,
        name=meal.name,
        label=meal.label,
        serve=meal.time,
        cooked_on=pot.day.date,
        how=how,
        add=tuple(add),
        minutes=meal.hands_on_min + (REHEAT_MIN if fresh else 0),
        cautions=()
        if cold
        else _cautions(advice_for((s.food for s in meal.servings), *whens), seen),
    )


def _boils(
    pots: Sequence[_Pot],
    eaters: Sequence[Eater],
    units: Units,
    dry: frozenset[tuple[str, dt.date]],
) -> tuple[Boil, ...]:
    """Boil each pulse once for all cookings near enough, each grain on its own day."""
    shares = sum(eater.portion for eater in eaters)
    needs: dict[str, list[tuple[_Pot, float]]] = {}
    for pot in pots:
        for key, (serving, grams) in pot.in_pot().items():
            if (key, pot.day.date) in dry and not _cooked_in_dish(serving, pot):
                needs.setdefault(key, []).append((pot, grams * shares))
    boils = []
    for key, wanted in needs.items():
        groups: list[list[tuple[_Pot, float]]] = []
        for pot, grams in sorted(wanted, key=lambda x: x[0].day.date):
            first = groups[-1][0][0].day.date if groups else None
            together = (
                first is not None
                and _BOILING[key]["kind"] == "pulse"
                and (pot.day.date - first).days <= BOILED_FOR_DAYS
                and (_stays_fresh(pot, first) or Catalogue.load().food(key).freezes)
            )
            if together:
                groups[-1].append((pot, grams))
            else:
                groups.append([(pot, grams)])
        boils += [_boil(key, group, units) for group in groups]
    return tuple(boils)


def _stays_fresh(pot: _Pot, boiled: dt.date) -> bool:
    """Say whether beans boiled on a day are eaten before they must be frozen."""
    last_eaten = max(date for date, _ in pot.portions())
    return (last_eaten - boiled).days <= keeping("cooked").fridge_days


def _set_aside(
    food: KitchenFood, group: Sequence[tuple[_Pot, float]], day: dt.date, units: Units
) -> tuple[SetAside, ...]:
    found = []
    for date in sorted({pot.day.date for pot, _ in group} - {day}):
        grams = sum(grams for pot, grams in group if pot.day.date == date)
        fresh = all(_stays_fresh(pot, day) for pot, _ in group if pot.day.date == date)
        measure = kitchen_amount(food, round(grams, 2), "", units).measure
        found.append(
            SetAside(
                day=date,
                grams=round(grams, 1),
                measure=measure,
                keep_in="fridge" if fresh else "freezer",
            )
        )
    return tuple(found)


def _cooked_in_dish(serving: Serving, pot: _Pot) -> bool:
    """Say whether the method itself cooks the food from dry or raw."""
    name = re.escape(serving.called)
    text = " ".join(pot.meal.method).lower()
    if _BOILING[serving.food]["kind"] == "vegetable":
        return not re.search(rf"\b(boiled|cooked|steamed|mashed|warm)\s+{name}\b", text)
    if _BOILING[serving.food]["kind"] == "bake":
        return "oven" in pot.dish.equipment and not re.search(rf"\bbaked {name}\b", text)
    verbs = "rinse|boil|simmer|cook|steam|bring|soak|peel"
    start = rf"\b({verbs})\b(?:\s+(?:the|and|well|raw|whole))*\s+{name}\b"
    return "from dry, allow" in text or bool(re.search(start, text, re.IGNORECASE))


def _boil(key: str, group: Sequence[tuple[_Pot, float]], units: Units) -> Boil:
    food = Catalogue.load().food(key)
    row = _BOILING[key]
    cooked_g = sum(grams for _, grams in group)
    dry_g, measure = _dry_text(food, cooked_g, units)
    if row["kind"] in ("bake", "vegetable"):
        dry_g, measure = food.bought_g(cooked_g), ""
    day = group[0][0].day.date
    return Boil(
        food=key,
        name=_plain(food.bought_name),
        kind=_KINDS[row["kind"]],
        day=day,
        dry_g=round(dry_g, 1),
        dry_measure=measure,
        cooked_g=round(cooked_g, 1),
        water=f"{float(row['water_per_dry'] or 0):g} times its volume of water",
        soak_hours=int(row["soak_hours"]),
        minutes=int(row["boil_min"]),
        hands_on_min=int(row["hands_on_min"]),
        dishes=tuple(dict.fromkeys(pot.meal.name for pot, _ in group)),
        evening_before=any(pot.meal.soak_night_before and pot.day.date == day for pot, _ in group),
        also_for=tuple(sorted({pot.day.date for pot, _ in group} - {day})),
        set_aside=_set_aside(food, group, day, units),
        cautions=_cautions(advice_for([key], "dry")),
    )


def _moment(date: dt.date, clock: str, minutes: int = 0) -> dt.datetime:
    hours, _, rest = clock.partition(":")
    return dt.datetime.combine(date, dt.time(int(hours), int(rest))) + dt.timedelta(minutes=minutes)


def _clock(date: dt.date, clock: str, minutes: int = 0) -> str:
    return f"{_moment(date, clock, minutes):%H:%M}"


def _boil_start(boil: Boil, cookings: Sequence[Cooking]) -> dt.datetime | None:
    """Give the start of a boil, or None when it belongs to the evening before."""
    if boil.evening_before:
        return None
    begins = []
    for cooking in cookings:
        if cooking.name not in boil.dishes:
            continue
        lead = boil.minutes
        if boil.kind == "grain":
            lead = max(0, boil.minutes + DRAIN_MIN - cooking.total_min)
            if any(re.search(r"\bcool", step, re.IGNORECASE) for step in cooking.method):
                lead += COOL_MIN
        begins.append(_moment(boil.day, cooking.start, -lead))
    if not begins:
        return None
    begin = min(begins)
    early = begin.date() < boil.day or begin.time() < EARLIEST
    return None if early and boil.kind != "grain" else begin


def _boil_text(boil: Boil) -> str:
    """Write the order to boil or bake something ahead."""
    measure = f", {boil.dry_measure}" if boil.dry_measure else ""
    names = " and ".join(boil.dishes)
    if boil.kind == "vegetable":
        return (
            f"Trim and boil {_round(boil.dry_g):.0f} g {_lower(boil.name)} as bought for about "
            f"{boil.minutes} min and drain, for {names}."
        )
    if boil.kind == "bake":
        return (
            f"Bake {boil.dry_g:.0f} g {_lower(boil.name)} whole at 200 °C (400 °F) for about "
            f"{boil.minutes} min, for {names}."
        )
    verb = "Drain the soaked" if boil.soak_hours else "Rinse the"
    return (
        f"{verb} {_lower(boil.name)} ({boil.dry_g:.0f} g dry{measure}) and boil in {boil.water} "
        f"for about {boil.minutes} min, for {names}.{_aside_text(boil)}"
    )


def _aside_text(boil: Boil) -> str:
    """Say what of a boil is put by for later days."""
    kept = [
        f"{'chill' if part.keep_in == 'fridge' else 'freeze'} {part.measure} for {part.day:%A}"
        for part in boil.set_aside
    ]
    return f" Once cool, {' and '.join(kept)}." if kept else ""


def _cook_day(
    plan: Plan,
    day: PlanDay,
    boils: Sequence[Boil],
    cookings: tuple[Cooking, ...],
    kept: tuple[Kept, ...],
    units: Units,
) -> CookDay:
    steps: list[tuple[dt.datetime, str]] = []
    for boil in boils:
        begin = _boil_start(boil, cookings)
        if begin is not None:
            steps.append((begin, _boil_text(boil)))
    for cooking in cookings:
        boxes = f", {len(cooking.boxes)} to box" if cooking.boxes else ""
        tools = " and ".join(tool for tool in cooking.equipment if tool != "none")
        steps.append(
            (
                _moment(day.date, cooking.start),
                f"Start {cooking.name} ({cooking.portions} "
                f"{'portion' if cooking.portions == 1 else 'portions'}{boxes}"
                f"{'; ' + tools if tools else ''}).",
            )
        )
    steps += [
        (_moment(day.date, box.serve, -box.minutes), f"{box.name}: {box.how}") for box in kept
    ]
    hands_on = sum(c.hands_on_min for c in cookings) + sum(k.minutes for k in kept)
    hands_on += sum(boil.hands_on_min for boil in boils if boil.kind != "grain")
    return CookDay(
        date=day.date,
        boils=tuple(boils),
        cookings=cookings,
        kept=kept,
        order=tuple(
            Step(clock=f"{moment:%H:%M}", text=text)
            for moment, text in sorted(steps, key=lambda x: x[0])
        ),
        tonight=(),
        hands_on_min=hands_on,
        clashes=_clashes(day.date, cookings),
        measuring_error_kcal=round(measuring_error_kcal(day, units), 1),
    )


def _lower(name: str) -> str:
    return name[:1].lower() + name[1:]


def _plain(name: str) -> str:
    """Shorten a bought name for a sentence that says dry or raw itself."""
    return re.sub(r"(, dr(y|ied)| \([^)]*\))", "", name)


def _clashes(date: dt.date, cookings: Sequence[Cooking]) -> tuple[str, ...]:
    found = []
    ordered = sorted(cookings, key=lambda x: _moment(date, x.start))
    for first, second in itertools.pairwise(ordered):
        end = _moment(date, first.serve)
        begin = _moment(date, second.start)
        if begin >= end:
            continue
        both = sorted({"oven", "blender", "grill"} & set(first.equipment) & set(second.equipment))
        tool = f" and both need the {both[0]}" if both else ""
        found.append(
            f"{second.name} begins at {second.start}, before {first.name} is served{tool}: start "
            f"{first.name} {round((end - begin).total_seconds() / 60)} minutes earlier."
        )
    return tuple(found)


def _evenings(
    plan: Plan, days: Sequence[CookDay], boils: Sequence[Boil], pots: Sequence[_Pot]
) -> dict[dt.date, tuple[str, ...]]:
    found: dict[dt.date, list[str]] = {}
    for boil in boils:
        before = boil.day - dt.timedelta(days=1)
        day = next(day for day in days if day.date == boil.day)
        amount = f"{boil.dry_g:.0f} g" + (f" ({boil.dry_measure})" if boil.dry_measure else "")
        overnight = _boil_start(boil, day.cookings) is None
        names = " and ".join(boil.dishes)
        if overnight and boil.kind in ("bake", "vegetable"):
            found.setdefault(before, []).append(
                f"{_boil_text(boil).removesuffix('.')}, {boil.day:%A}; chill it once cool."
            )
            continue
        if overnight and boil.soak_hours:
            found.setdefault(before, []).append(
                f"Soak {amount} {_lower(boil.name)} from the morning and boil tonight in "
                f"{boil.water} for about {boil.minutes} min, then cool and chill: for {names}, "
                f"{boil.day:%A}.{_aside_text(boil)}"
            )
        elif overnight:
            found.setdefault(before, []).append(
                f"Boil {amount} {_lower(boil.name)} tonight in {boil.water} for about "
                f"{boil.minutes} min, then cool and chill: for {names}, {boil.day:%A}."
                f"{_aside_text(boil)}"
            )
        elif boil.soak_hours:
            found.setdefault(before, []).append(
                f"Soak {amount} {_lower(boil.name)} in plenty of cold water for {names}, "
                f"{boil.day:%A}."
            )
    for boil in boils:
        for part in boil.set_aside:
            if part.keep_in == "freezer":
                found.setdefault(part.day - dt.timedelta(days=1), []).append(
                    f"Thaw {part.measure} boiled {_lower(boil.name)} in the fridge for "
                    f"{part.day:%A}."
                )
    for pot in pots:
        if pot.meal.soak_night_before:
            before = pot.day.date - dt.timedelta(days=1)
            found.setdefault(before, []).append(
                f"Begin {pot.meal.name} for {pot.day.date:%A}: {_overnight_steps(pot, days)}"
            )
    return {day: tuple(lines) for day, lines in found.items()}


def _overnight_steps(pot: _Pot, days: Sequence[CookDay]) -> str:
    """Give the steps up to the one that leaves the dish overnight, with amounts."""
    day = next(day for day in days if day.date == pot.day.date)
    cooking = next(c for c in day.cookings if c.dish == pot.dish.key and c.serve == pot.meal.time)
    last = next(
        (place for place, step in enumerate(cooking.method) if "overnight" in step.lower()), 0
    )
    return " ".join(cooking.method[: last + 1])


def measuring_error_kcal(day: PlanDay, units: Units = "metric") -> float:
    """
    Sum what measuring by spoons, pieces and tins adds to a day, each error counted in full.

    Parameters
    ----------
    day : PlanDay
    units : {"metric", "us"}

    Returns
    -------
    float
        Sum of the absolute errors, so an upper bound. [kcal]
    """
    catalogue = Catalogue.load()
    total = 0.0
    for meal in day.meals:
        for serving in meal.servings:
            food = catalogue.food(serving.food)
            amount = kitchen_amount(food, serving.grams, serving.called, units)
            if serving.grams > 0:
                total += abs(amount.error_g) * serving.energy_kcal / serving.grams
    return total
