"""Portions of earlier weeks in the freezer: eaten, not bought again, and counted."""

from __future__ import annotations

import datetime as dt

import pytest

from foods.dishes.load import dishes_by_key, load_dishes
from mealplan.client.read import parse_intake
from mealplan.cooking.sheet import batch_plan
from mealplan.menu.change import DayRequest, change_day
from mealplan.menu.context import Context
from mealplan.menu.following import with_rest_of
from mealplan.menu.freezer import in_freezer, with_freezer
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.plan import Plan
from mealplan.shopping.door import shopping_list
from mealplan.shopping.uses import uses_of
from mealplan.targets.make import make_targets

START = dt.date(2026, 12, 7)
SOUP = "lentil-vegetable-stew-six"
"""A dish of the shipped ones that freezes, told in steps."""
AT_THE_PLATE = ("bread_whole_wheat", "parsley_fresh")
"""What of it is added fresh and never frozen."""


def client(**living):
    return parse_intake(
        {
            "role": "club lifter",
            "sex": "male",
            "age_years": 28,
            "height_cm": 182,
            "weight_kg": 84,
            "start": START.isoformat(),
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": 1.75},
            "kitchen": {
                "living": {"freezer_portions": 6} | living,
                "frozen": [
                    {
                        "dish": SOUP,
                        "cooked_on": "2026-12-01",
                        "portions": 2,
                        "grams": {
                            line.food: line.typical_g
                            for line in soup().lines
                            if not line.optional and line.food not in AT_THE_PLATE
                        },
                    }
                ],
            },
        }
    )


def soup():
    return dishes_by_key(load_dishes())[SOUP]


@pytest.fixture(scope="module")
def kept():
    intake = client()
    return intake, make_targets(intake), make_plan(intake, make_targets(intake), days=3)


def frozen_meals(plan):
    return [(day, meal) for day in plan.days for meal in day.meals if meal.from_freezer]


def test_what_is_in_the_freezer_is_eaten_as_it_was_frozen_and_every_check_holds(kept):
    intake, targets, plan = kept
    eaten = frozen_meals(plan)
    assert 1 <= len(eaten) <= 2
    context = Context.make(intake, targets)
    frozen = {pot.dish: pot.grams for pot in in_freezer(plan, intake)}
    for _, meal in eaten:
        grams = {serving.food: serving.grams for serving in meal.servings}
        assert meal.dish == SOUP
        assert meal.kept_label == "from the freezer, cooked 1 Dec"
        assert {food: grams[food] for food in frozen[SOUP]} == pytest.approx(frozen[SOUP], rel=1e-3)
    asked = plan.model_copy(update={"frozen": in_freezer(plan, intake)})
    assert verify_plan(asked, targets, context.exclusions.foods, context.by_key) == ()
    none = plan.model_copy(update={"frozen": ()})
    assert any(
        "is not there" in str(found)
        for found in verify_plan(none, targets, context.exclusions.foods, context.by_key)
    )


def test_nothing_of_it_is_bought_again_and_it_thaws_the_evening_before(kept):
    intake, _, plan = kept
    frozen = {food for pot in in_freezer(plan, intake) for food in pot.grams}
    bought = {
        (use.dish, use.form.planned.key) for use in uses_of(plan, intake, intake.kitchen.shop)
    }
    assert not {food for dish, food in bought if dish == SOUP} & frozen
    assert any("In the freezer already" in note for note in shopping_list(plan, intake).notes)
    sheet = batch_plan(plan, intake)
    for day, meal in frozen_meals(plan):
        before = day.date - dt.timedelta(days=1)
        tonight = next((d.tonight for d in sheet.days if d.date == before), sheet.evening_before)
        assert any("Thaw" in text and meal.name in text for text in tonight)


def test_what_was_put_in_and_taken_out_is_what_the_next_week_finds(kept):
    intake, _, plan = kept
    # source: worked by hand (2 in the freezer, less those eaten, and what each pot put in)
    after = with_rest_of(intake, plan).kitchen.frozen
    soups = sum(pot.portions for pot in after if pot.dish == SOUP)
    assert soups == 2 - len(frozen_meals(plan))
    added = {
        (meal.dish, day.date): meal.freeze_portions
        for day in plan.days
        for meal in day.meals
        if meal.freeze_portions
    }
    assert {(p.dish, p.cooked_on): p.portions for p in after if p.dish != SOUP} == added
    for day in plan.days:
        for meal in day.meals:
            if meal.leftover_from is None and meal.dish != "eaten":
                takers = sum(
                    other.leftover_from == day.date and other.dish == meal.dish
                    for later in plan.days
                    for other in later.meals
                )
                assert meal.cook_portions == 1 + takers + meal.freeze_portions


def test_another_meal_changed_leaves_the_freezer_as_it_is(kept):
    intake, targets, plan = kept
    day, meal = frozen_meals(plan)[0]
    other = next(m.slot for m in day.meals if m.occasion == "breakfast")
    changed = change_day(intake, targets, plan, DayRequest(day.date, another=(other,))).plan
    same = next(d for d in changed.days if d.date == day.date).meals[meal.slot]
    assert same.from_freezer
    assert same.leftover_from == meal.leftover_from
    assert Plan.model_validate_json(changed.model_dump_json()) == changed


def test_without_a_freezer_nothing_is_eaten_from_it_nor_put_into_it():
    intake = client(freezer=False)
    context = Context.make(intake, make_targets(intake))
    assert with_freezer(context, intake.kitchen.frozen, START).frozen == {}
    assert not context.room_to_freeze
    plan = make_plan(intake, make_targets(intake), days=1)
    assert not any(m.from_freezer or m.freeze_portions for d in plan.days for m in d.meals)
