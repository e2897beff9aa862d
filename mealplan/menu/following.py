"""What a week knows of the week before: what is left of it, and which dishes it served."""

from __future__ import annotations

import datetime as dt

from foods.dishes.load import dishes_by_key
from mealplan.client.intake import Intake
from mealplan.kitchen.custom_foods import dishes_of
from mealplan.menu.context import Context
from mealplan.menu.freezer import after
from mealplan.plan import Plan
from mealplan.shopping.build import shopping_list
from mealplan.shopping.left_over import next_cupboard
from mealplan.shopping.uses import at_home_for


def follows(before: Plan | None, start: dt.date) -> bool:
    """Say whether a plan begins on the day after another ends."""
    return before is not None and before.days[-1].date + dt.timedelta(days=1) == start


def with_rest_of(intake: Intake, before: Plan) -> Intake:
    """
    Begin with what is left of a plan that was shopped for and eaten.

    Parameters
    ----------
    intake : Intake
    before : Plan

    Returns
    -------
    Intake
        Its cupboard is what still keeps after that plan, its freezer what was put in and left.
    """
    then = _with_cupboard(intake, at_home_for(before, intake))
    rested = _with_cupboard(intake, next_cupboard(shopping_list(before, then), then))
    frozen = after(before, intake, dishes_by_key(dishes_of(before, intake)))
    kitchen = rested.kitchen.model_copy(update={"frozen": frozen})
    return rested.model_copy(update={"kitchen": kitchen})


def _with_cupboard(intake: Intake, items: tuple[object, ...]) -> Intake:
    kitchen = intake.kitchen.model_copy(update={"cupboard": items})
    return intake.model_copy(update={"kitchen": kitchen})


def prices_after(context: Context, before: Plan) -> dict[str, float]:
    """
    Price the dishes of the week before, but for those the client likes most.

    Parameters
    ----------
    context : Context
    before : Plan

    Returns
    -------
    dict of str to float
        By dish key.
    """
    grades = context.exclusions.dish_grades
    return {
        meal.dish: context.habits.last_week
        for day in before.days[-7:]
        for meal in day.meals
        if grades.get(meal.dish) not in ("likes", "favourites")
    }
