"""A table's shared meals as text: what is shared, the cooking, the list, and a canteen's sheet."""

from __future__ import annotations

from collections.abc import Sequence

from mealplan.client.intake import Intake
from mealplan.cooking.models import BatchPlan, Cooking
from mealplan.cooking.writing import batch_text
from mealplan.kitchen.avoided import label_words
from mealplan.plan import Plan
from mealplan.render.text import shopping_text
from mealplan.shopping.lines import ShoppingList
from mealplan.table.model import SharedMeal, TableDecided

WEIGHED_BY = "Plates are parts of the whole pot by weight; stir it well before it is shared out."


def shared_lines(decided: TableDecided) -> list[str]:
    """
    Say of each meal that was to be shared what became of it.

    Parameters
    ----------
    decided : TableDecided

    Returns
    -------
    list of str
    """
    return [_shared(meal) for meal in decided.meals]


def _shared(meal: SharedMeal) -> str:
    when = f"{meal.date:%A %d %B}, {meal.occasion}"
    if not meal.dish:
        return f"{when}: not shared. {meal.said}"
    apart = f"; beside the pot, each their own: {', '.join(meal.apart)}" if meal.apart else ""
    return f"{when}: {meal.name}, served {meal.serve}{apart}"


def table_text(decided: TableDecided, batch: BatchPlan, shopping: ShoppingList) -> str:
    """
    Write what a table shares, cooks and buys.

    Parameters
    ----------
    decided : TableDecided
    batch : BatchPlan
        The cooking of everyone's plates, hands counted once.
    shopping : ShoppingList
        One for all.

    Returns
    -------
    str
    """
    who = ", ".join((*decided.eaters, *(f"{g.label} (guest)" for g in decided.guests)))
    return "\n".join(
        (
            f"TABLE  {who}",
            "",
            *(f"  {line}" for line in shared_lines(decided)),
            "",
            "COOKING, FOR EVERYONE AT ONCE",
            batch_text(batch),
            "",
            f"SHOPPING LIST, one for all {len(decided.eaters) + len(decided.guests)}",
            shopping_text(shopping),
        )
    )


def kept_from(decided: TableDecided, intakes: Sequence[Intake]) -> dict[str, tuple[str, ...]]:
    """
    Name the allergens each at a table must be kept from.

    Parameters
    ----------
    decided : TableDecided
    intakes : sequence of Intake
        Of the eaters, in their order.

    Returns
    -------
    dict of str to tuple of str
        By role; empty where nothing was said.
    """
    found = {
        intake.role: tuple(sorted({*intake.tastes.allergies, *label_words(intake)}))
        for intake in intakes
    }
    return found | {guest.label: tuple(sorted(guest.allergies)) for guest in decided.guests}


def canteen_text(
    decided: TableDecided, intakes: Sequence[Intake], joined: Plan, batch: BatchPlan
) -> str:
    """
    Write a canteen's sheet: pots in total, plates by person, allergens by person.

    Parameters
    ----------
    decided : TableDecided
    intakes : sequence of Intake
        Of the eaters, in their order.
    joined : Plan
        Shared pots with everyone's plates (:func:`mealplan.table.together.side_by_side`).
    batch : BatchPlan
        Its cooking.

    Returns
    -------
    str
        One block a day; no one's targets, weights or calories.
    """
    avoided = kept_from(decided, intakes)
    rows = [f"CANTEEN SHEET  {len(avoided)} plates a meal", "", "Kept from, by person"]
    rows += [
        f"  {role}: {', '.join(word.replace('_', ' ') for word in words) or 'nothing said'}"
        for role, words in avoided.items()
    ]
    rows += ["", "No pot below holds any of these. Traces are not in the data: labels decide."]
    rows.append(WEIGHED_BY)
    for day, cooked in zip(joined.days, batch.days, strict=True):
        said = [meal for meal in decided.meals if meal.date == day.date]
        if not said:
            continue
        rows += ["", f"{day.date:%A %d %B}".upper()]
        rows += [f"  {_shared(meal)}" for meal in said]
        for cooking in cooked.cookings:
            rows += _pot(cooking)
        for kept in cooked.kept:
            rows.append(f"\n  {kept.serve} {kept.name}, boxes from {kept.cooked_on:%A}: {kept.how}")
    return "\n".join(rows)


def _pot(cooking: Cooking) -> list[str]:
    rounds = f", in {cooking.rounds} rounds" if cooking.rounds > 1 else ""
    rows = [f"\n  {cooking.serve} {cooking.name}: {cooking.portions} plates and boxes{rounds}"]
    rows += [
        f"     {amount.grams:,.0f} g {amount.called}"
        + (f" ({amount.start_from})" if amount.start_from else "")
        for amount in cooking.amounts
    ]
    rows += [f"   plate  {plate}" for plate in cooking.plates]
    rows += [
        f"   box    {box.eater}, {box.eaten_on:%A}: {box.percent_of_pot} % of the pot"
        for box in cooking.boxes
    ]
    return rows
