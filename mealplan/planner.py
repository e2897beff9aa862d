"""
From targets to days of meals: the only module that knows the whole planning chain.

A week is planned day after day with prices on repeating a dish and a discount on eating a kept
portion, then each day is improved once more knowing its neighbours.
"""

from __future__ import annotations

import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

import numpy as np

from foods.catalogue import Catalogue
from foods.dishes import Dish, load_dishes
from mealplan.errors import NoPlanError, SafetyRefusal
from mealplan.foodspace import FoodSpace
from mealplan.intake import WEEKDAYS, Intake
from mealplan.lp.daymodel import Choice, DayModel
from mealplan.lp.search import DayAnswer, solve_day
from mealplan.measures import amount_phrase, in_measures
from mealplan.occasions import slots_for
from mealplan.offers import Exclusions, make_choice, read_exclusions, suits
from mealplan.plan import Meal, Plan, PlanDay, Serving
from mealplan.ranges import DayTargets, TargetRange, Targets
from mealplan.report import day_adequacy, explain_misses
from mealplan.rules import Scope, day_rows

WINDOW_DAYS = 7
"""Repeats are counted over this many days."""
MOST_IN_WINDOW = 2
"""A dish is served at most this often in the window."""
COST_AGAIN = 0.12
"""Serving a dish again within the window."""
COST_AGAIN_SOON = 0.35
"""Serving it again within two days, freshly cooked."""
GAIN_KEPT = 0.08
"""What a kept portion saves beyond its minutes."""
KEPT_RANGE = (0.75, 1.3)
"""A kept portion may differ from the one served fresh by these factors."""

KEPT_AT = ("midday", "small")
"""Meals a kept portion may fill: a box at midday, something ready between meals."""

Progress = Callable[[int, int], None]


@dataclass(frozen=True)
class Served:
    """What a planned meal was, for variety and kept portions."""

    dish: str
    grams: Mapping[str, float]
    kept_from: int | None
    """Index of the day it was cooked, when this is a kept portion."""


@dataclass(frozen=True)
class Context:
    """Everything about a client that does not change from day to day."""

    intake: Intake
    targets: Targets
    space: FoodSpace
    dishes: tuple[Dish, ...]
    exclusions: Exclusions

    @classmethod
    def make(
        cls, intake: Intake, targets: Targets, dishes: Sequence[Dish] | None = None
    ) -> Context:
        """
        Gather a client's planning context.

        Parameters
        ----------
        intake : Intake
        targets : Targets
        dishes : sequence of Dish, optional
            The dishes on offer; those that ship when left out.

        Returns
        -------
        Context
        """
        offered = tuple(dishes) if dishes is not None else load_dishes()
        return cls(
            intake=intake,
            targets=targets,
            space=FoodSpace.load(),
            dishes=offered,
            exclusions=read_exclusions(intake, Catalogue.load(), offered),
        )

    @cached_property
    def by_key(self) -> dict[str, Dish]:
        """Dishes by key."""
        return {dish.key: dish for dish in self.dishes}

    @cached_property
    def slots(self) -> tuple:  # type: ignore[type-arg]
        """Meals of the day."""
        return slots_for(self.intake)

    @cached_property
    def allowed(self) -> frozenset[str]:
        """Catalogue keys the client may eat."""
        return frozenset(food.key for food in self.space.foods) - self.exclusions.foods

    @cached_property
    def _choices(self) -> dict[float, tuple[tuple[Choice, ...], ...]]:
        return {}

    def choices(self, energy_kcal: float) -> tuple[tuple[Choice, ...], ...]:
        """
        Offer every suitable dish at every meal of a day of this energy, variety aside.

        Parameters
        ----------
        energy_kcal : float
            The day's energy. [kcal]

        Returns
        -------
        tuple of tuple of Choice
            One tuple a meal.

        Raises
        ------
        NoPlanError
            When a meal is left without any dish.
        """
        if energy_kcal not in self._choices:
            offers = []
            for slot in self.slots:
                made = (
                    make_choice(
                        dish, slot, slot.energy_share * energy_kcal, self.space, self.exclusions
                    )
                    for dish in self.dishes
                    if suits(dish, slot, self.intake, self.exclusions)
                )
                offer = tuple(choice for choice in made if choice is not None)
                if not offer:
                    raise NoPlanError(
                        f"no dish is left for the {slot.label.lower()}: allergies, refusals, heat and "
                        "equipment together rule out every one; relax one of them or add a dish",
                        tuple(f"{word!r} rules out {n} foods" for word, n in self.exclusions.words.items()),
                    )
                offers.append(offer)
            self._choices[energy_kcal] = tuple(offers)
        return self._choices[energy_kcal]


def _history_cost(
    choice: Choice, day: int, slot: int, history: Mapping[int, Sequence[Served]], dish: Dish
) -> float | None:
    """Price a dish's earlier and later servings put on it; None when it is used up."""
    near = [
        (other, served)
        for other, meals in history.items()
        if other != day and abs(other - day) < WINDOW_DAYS
        for served in meals
        if served.dish == choice.dish
    ]
    if len(near) >= MOST_IN_WINDOW:
        return None
    cost = sum(COST_AGAIN_SOON if abs(other - day) <= 2 else COST_AGAIN for other, _ in near)
    for other in (day - 1, day + 1):
        meals = history.get(other, ())
        if slot < len(meals) and dish.protein_base:
            cost += 0.03 * (meals[slot].dish == choice.dish)
    return cost


def _kept(
    choice: Choice,
    day: int,
    history: Mapping[int, Sequence[Served]],
    dish: Dish,
    space: FoodSpace,
) -> tuple[Choice, int] | None:
    """Offer a dish cooked on one of the last days as a kept portion, if it keeps that long."""
    for back in range(1, dish.keeps_days + 1):
        for served in history.get(day - back, ()):
            if served.dish != choice.dish or served.kept_from is not None:
                continue
            others = sum(
                1
                for meals in history.values()
                for meal in meals
                if meal.dish == choice.dish
            )
            if dish.batch_portions < 2 or others >= MOST_IN_WINDOW:
                return None
            before = np.array([served.grams.get(space.foods[f].key, 0.0) for f in choice.foods])
            least = np.ceil(before * KEPT_RANGE[0] / choice.step - 1e-9) * choice.step
            most = np.floor(before * KEPT_RANGE[1] / choice.step + 1e-9) * choice.step
            cooked = before > 0
            free = choice.optional
            low = np.where(cooked & ~free, np.clip(least, choice.low, choice.high), choice.low)
            high = np.where(cooked & ~free, np.clip(most, low, choice.high), choice.high)
            typical = np.where(cooked, np.clip(before, low, high), choice.typical)
            kept = replace(
                choice,
                low=low,
                high=np.maximum(high, typical),
                typical=typical,
                cost=max(0.0, choice.cost - GAIN_KEPT - 0.0008 * dish.hands_on_min),
                ratios=(),
            )
            return kept, day - back
    return None


def day_model(
    context: Context,
    day: int,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    avoid: Mapping[str, float] | None = None,
) -> tuple[DayModel, tuple[tuple[int | None, ...], ...]]:
    """
    Build one day's model with the prices its neighbours put on its dishes.

    Parameters
    ----------
    context : Context
    day : int
        Index of the day in the plan.
    targets : DayTargets
        Its ranges.
    history : mapping of int to sequence of Served
        What the other days serve.
    avoid : mapping of str to float, optional
        Extra price by dish key, for another day than the one shown.

    Returns
    -------
    model : DayModel
    kept_from : tuple of tuples
        For each meal and dish, the day it was cooked, or None when cooked fresh.
    """
    minutes = context.intake.kitchen.hands_on_min.get(targets.weekday)
    offers = []
    origins = []
    for slot, base in zip(context.slots, context.choices(targets.energy_kcal), strict=True):
        offer = []
        origin: list[int | None] = []
        for choice in base:
            dish = context.by_key[choice.dish]
            extra = (avoid or {}).get(choice.dish, 0.0)
            kept = (
                _kept(choice, day, history, dish, context.space)
                if context.intake.kitchen.leftovers and slot.occasion in KEPT_AT
                else None
            )
            if kept is not None:
                offer.append(replace(kept[0], cost=kept[0].cost + extra))
                origin.append(kept[1])
                continue
            price = _history_cost(choice, day, slot.index, history, dish)
            if price is None:
                continue
            if minutes is not None and dish.hands_on_min > minutes:
                price += 0.02 * (dish.hands_on_min - minutes)
            offer.append(replace(choice, cost=choice.cost + price + extra))
            origin.append(None)
        if not offer:
            offer = [replace(c, cost=c.cost + 1.0 + (avoid or {}).get(c.dish, 0.0)) for c in base]
            origin = [None] * len(offer)
        offers.append(tuple(offer))
        origins.append(tuple(origin))
    scope = Scope(
        intake=context.intake,
        targets=context.targets,
        day=targets,
        slots=context.slots,
        space=context.space,
    )
    model = DayModel(
        rows=day_rows(scope),
        slots=context.slots,
        offers=tuple(offers),
        food_ceiling_g=context.space.max_g_day,
    )
    return model, tuple(origins)


def _serve(
    context: Context,
    model: DayModel,
    answer: DayAnswer,
    origins: Sequence[Sequence[int | None]],
) -> tuple[Served, ...]:
    served = []
    for slot, (pick, grams) in enumerate(zip(answer.picks, answer.grams, strict=True)):
        choice = model.offers[slot][pick]
        amounts = {
            context.space.foods[food].key: float(amount)
            for food, amount in zip(choice.foods, grams, strict=True)
            if amount > 0
        }
        served.append(Served(choice.dish, amounts, origins[slot][pick]))
    return tuple(served)


def make_plan(
    intake: Intake,
    targets: Targets,
    *,
    days: int = 7,
    first: dt.date | None = None,
    avoid: Sequence[str] = (),
    dishes: Sequence[Dish] | None = None,
    progress: Progress | None = None,
) -> Plan:
    """
    Plan days of meals for a client.

    Parameters
    ----------
    intake : Intake
        Kitchen, tastes and seed; the same intake gives the same plan.
    targets : Targets
        From :func:`mealplan.targets.make_targets`.
    days : int
        How many, 1 to 28. [days]
    first : date, optional
        First day; the intake's start when left out.
    avoid : sequence of str
        Dish keys already shown, to be passed over where others do as well.
    dishes : sequence of Dish, optional
        Dishes on offer; those that ship when left out.
    progress : callable, optional
        Called with (days done, days in all).

    Returns
    -------
    Plan

    Raises
    ------
    SafetyRefusal
        When a guard rail forbids planning.
    NoPlanError
        When no dish is left for a meal.
    IntakeError
        When a taste names nothing known.
    """
    refuse_unsafe(targets)
    if not 1 <= days <= 28:
        raise NoPlanError(f"days={days} is outside 1 to 28; plan four weeks at most at a time")
    context = Context.make(intake, targets, dishes)
    start = first or intake.start
    dates = [start + dt.timedelta(days=offset) for offset in range(days)]
    day_targets = [targets.on(WEEKDAYS[date.weekday()]) for date in dates]
    shunned = dict.fromkeys(avoid, 0.5)
    history: dict[int, tuple[Served, ...]] = {}
    answers: dict[int, tuple[DayModel, DayAnswer]] = {}
    for day in range(days):
        model, origins = day_model(context, day, day_targets[day], history, shunned)
        answer = solve_day(model, seed=intake.seed + day)
        history[day] = _serve(context, model, answer, origins)
        answers[day] = (model, answer)
        if progress is not None:
            progress(day + 1, days)
    planned = tuple(
        _plan_day(context, day, dates[day], day_targets[day], history, answers[day])
        for day in range(days)
    )
    ranges: dict[str, TargetRange] = {}
    for target in day_targets:
        ranges.update(target.ranges)
    return Plan(
        role=intake.role,
        start=start,
        seed=intake.seed,
        days=planned,
        supplements=targets.supplements,
        notices=targets.notices,
        explanation=explain_misses(planned, ranges, context.space, context.allowed),
    )


def refuse_unsafe(targets: Targets) -> None:
    """
    Stop when a guard rail forbids acting on these targets.

    Parameters
    ----------
    targets : Targets

    Raises
    ------
    SafetyRefusal
        One line that says what is refused, why and whom to see.
    """
    refusals = [n for n in targets.notices if n.severity in ("refuse", "override")]
    if refusals:
        said = " ".join(
            f"{n.message}{' See ' + n.see + '.' if n.see else ''} [{n.code}]" for n in refusals[:3]
        )
        raise SafetyRefusal(f"no plan is made: {said}")


def _plan_day(
    context: Context,
    index: int,
    date: dt.date,
    targets: DayTargets,
    history: Mapping[int, Sequence[Served]],
    solved: tuple[DayModel, DayAnswer],
) -> PlanDay:
    model, answer = solved
    space = context.space
    energy = space.per_gram("energy_kcal")
    protein = space.per_gram("protein_g")
    leucine = space.per_gram("leucine_g")
    meals = []
    eaten: dict[str, float] = {}
    for slot, served in zip(context.slots, history[index], strict=True):
        dish = context.by_key[served.dish]
        servings = []
        for line in dish.lines:
            grams = served.grams.get(line.food)
            if not grams:
                continue
            food = space.foods[space.index[line.food]]
            eaten[line.food] = eaten.get(line.food, 0.0) + grams
            servings.append(
                Serving(
                    food=food.key,
                    ndb=food.ndb,
                    name=food.name,
                    called=line.called,
                    grams=round(grams, 3),
                    measure=in_measures(food, grams),
                    phrase=amount_phrase(food, grams, line.called),
                    energy_kcal=round(grams * float(energy[space.index[line.food]]), 1),
                    optional=line.optional,
                )
            )
        weights = np.zeros(len(space))
        for key, grams in served.grams.items():
            weights[space.index[key]] = grams
        later = sum(
            1
            for meals_then in history.values()
            for meal in meals_then
            if meal.dish == served.dish and meal.kept_from == index
        )
        kept = served.kept_from
        meals.append(
            Meal(
                slot=slot.index,
                occasion=slot.occasion,
                label=slot.label,
                time=slot.time,
                dish=dish.key,
                name=dish.name,
                servings=tuple(servings),
                method=dish.method,
                hands_on_min=dish.hands_on_min if kept is None else min(5, dish.hands_on_min),
                total_min=dish.total_min if kept is None else min(10, dish.total_min),
                leftover_from=None if kept is None else date - dt.timedelta(days=index - kept),
                cook_portions=0 if kept is not None else 1 + later,
                soak_night_before=dish.soak_night_before and kept is None,
                cautions=dish.cautions,
                energy_kcal=round(float(weights @ energy), 1),
                protein_g=round(float(weights @ protein), 1),
                leucine_g=round(float(weights @ leucine), 2),
            )
        )
    lines = day_adequacy(targets, eaten, space)
    total = sum(space.per_gram("energy_kcal")[space.index[key]] * g for key, g in eaten.items())
    return PlanDay(
        date=date,
        weekday=targets.weekday,
        meals=tuple(meals),
        energy_kcal=round(float(total), 1),
        energy_target_kcal=targets.energy_kcal,
        adequacy=lines,
        objective=round(answer.objective, 4),
        bound=round(answer.relaxation.bound, 4),
        hands_on_min=sum(meal.hands_on_min for meal in meals),
    )
