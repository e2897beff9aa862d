"""Check what a table shares without the planner that chose it: one pot, own plates, no harm."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence

from mealplan.kitchen.custom_foods import catalogue_of
from mealplan.menu.verify import Violation
from mealplan.plan import Meal, Plan
from mealplan.table.model import SharedMeal, TableDecided

ONE_POT = 0.2
"""Foods of one pot differ from plate to plate by no more than this part of their share. [1]"""
WRITTEN = 1e-3
"""Plans write grams to three decimals. [g]"""


def check_table(
    decided: TableDecided,
    plans: Sequence[Plan],
    never: frozenset[str],
    beside: Mapping[str, frozenset[str]],
) -> tuple[Violation, ...]:
    """
    List what is wrong with a table's shared meals.

    Parameters
    ----------
    decided : TableDecided
    plans : sequence of Plan
        One an eater.
    never : frozenset of str
        Catalogue keys that someone at the table cannot have.
    beside : mapping of str to frozenset of str
        By dish, what stands beside the pot and may differ from plate to plate.

    Returns
    -------
    tuple of Violation
        Empty when every shared meal is one dish of one pot in every plan, holds nothing that
        someone cannot have, and is in the same proportions on every plate.
    """
    found = []
    for meal in decided.meals:
        if not meal.dish:
            if not meal.said:
                found.append(Violation(meal.date.isoformat(), "not shared, and not said why"))
            continue
        plates = [_plate(plan, meal) for plan in plans]
        found += [
            Violation(meal.date.isoformat(), f"{meal.occasion}: {fault}")
            for fault in _faults(meal, plates, never, beside.get(meal.dish, frozenset()), plans[0])
        ]
    return tuple(found)


def _plate(plan: Plan, meal: SharedMeal) -> Meal | None:
    return next(
        (
            one
            for day in plan.days
            if day.date == meal.date
            for one in day.meals
            if one.occasion == meal.occasion
        ),
        None,
    )


def _faults(
    meal: SharedMeal,
    plates: Sequence[Meal | None],
    never: frozenset[str],
    beside: frozenset[str],
    plan: Plan,
) -> Iterator[str]:
    there = [plate for plate in plates if plate is not None]
    if len(there) < len(plates):
        yield "someone has no such meal that day"
    if any(plate.dish != meal.dish for plate in there):
        yield f"not everyone eats {meal.dish}"
        return
    if len({plate.leftover_from for plate in there}) > 1:
        yield f"the plates of {meal.dish} come out of different pots"
    for food in sorted({s.food for plate in there for s in plate.servings} & never):
        yield f"{food} is in a shared dish, and someone cannot have it"
    if there[0].leftover_from is None:
        yield from _uneven(there, beside, plan)


def _uneven(plates: Sequence[Meal], beside: frozenset[str], plan: Plan) -> Iterator[str]:
    """Tell foods whose share of the pot's main food is not the same on two plates."""
    catalogue = catalogue_of(plan)
    pots = [{s.food: s.grams for s in plate.servings if s.food not in beside} for plate in plates]
    if len({frozenset(pot) for pot in pots}) > 1:
        yield "the plates of one pot hold different foods"
        return
    if not pots[0]:
        return
    most = max(pots[0], key=lambda food: min(pot[food] for pot in pots))
    for food in pots[0]:
        shares = [pot[food] / pot[most] for pot in pots]
        steps = catalogue.food(food).step_g, catalogue.food(most).step_g
        grain = max(
            steps[0] / pot[most] + steps[1] * share / pot[most]
            for pot, share in zip(pots, shares, strict=True)
        )
        # Two plates may each lie so far from the plate that was filled first.
        if max(shares) - min(shares) > max(2 * ONE_POT * max(shares), 2 * grain) + WRITTEN:
            yield f"{food} is {max(shares) / min(shares):.1f} times as much of one plate as another"
