"""The independent check finds every kind of fault when it is planted in a sound plan."""

from __future__ import annotations

import datetime as dt

import pytest

from foods.composition.catalogue import Catalogue
from mealplan.menu.verify import verify_plan
from mealplan.targets.ranges import FuelItem


def faults(case, plan, banned=frozenset()):
    found = verify_plan(plan, case.targets, banned, case.context.by_key)
    return [violation.what for violation in found]


def with_day(plan, day, at=0):
    return plan.model_copy(update={"days": (*plan.days[:at], day, *plan.days[at + 1 :])})


def with_meal(plan, change, at=0, meal=1):
    """Change one meal of one day by a function of the meal."""
    day = plan.days[at]
    meals = (*day.meals[:meal], change(day.meals[meal]), *day.meals[meal + 1 :])
    return with_day(plan, day.model_copy(update={"meals": meals}), at)


def with_serving(plan, at=0, meal=1, serving=0, **update):
    def change(old):
        parts = list(old.servings)
        parts[serving] = parts[serving].model_copy(update=update)
        return old.model_copy(update={"servings": tuple(parts)})

    return with_meal(plan, change, at, meal)


@pytest.fixture(scope="module")
def sound(one_case):
    return one_case("lifter without soy")


def test_the_plan_to_be_spoilt_is_sound(sound):
    assert faults(sound, sound.plan) == []


def test_energy_that_was_not_added_up_is_found(sound):
    day = sound.plan.days[0]
    spoilt = with_day(sound.plan, day.model_copy(update={"energy_kcal": day.energy_kcal * 1.01}))
    assert any("reported energy" in what for what in faults(sound, spoilt))


def test_energy_far_from_its_target_is_found(sound):
    day = sound.plan.days[0]
    spoilt = with_day(sound.plan, day.model_copy(update={"meals": day.meals[:-1]}))
    assert any("more than 2 % from" in what for what in faults(sound, spoilt))


def test_a_banned_food_is_found(sound):
    food = sound.plan.days[2].meals[0].servings[0].food
    assert any(f"{food} is excluded" in w for w in faults(sound, sound.plan, frozenset({food})))


def test_an_amount_between_kitchen_measures_is_found(sound):
    serving = sound.plan.days[0].meals[1].servings[0]
    step = Catalogue.load().food(serving.food).step_g
    spoilt = with_serving(sound.plan, grams=serving.grams + 0.4 * step)
    assert any("is not a kitchen measure" in what for what in faults(sound, spoilt))


@pytest.mark.parametrize("grams", [0.0, -50.0])
def test_nothing_and_less_than_nothing_are_no_amounts(sound, grams):
    spoilt = with_serving(sound.plan, grams=grams)
    assert any("is not a kitchen measure" in what for what in faults(sound, spoilt))


def test_an_amount_no_cook_would_use_in_the_dish_is_found(sound):
    serving = sound.plan.days[0].meals[1].servings[0]
    step = Catalogue.load().food(serving.food).step_g
    spoilt = with_serving(sound.plan, grams=round(serving.grams * 6 / step) * step)
    assert any("is no amount for" in what for what in faults(sound, spoilt))


def test_too_much_of_a_food_in_a_day_is_found(sound):
    serving = sound.plan.days[0].meals[1].servings[0]
    food = Catalogue.load().food(serving.food)
    many = (int(food.max_g_day / food.step_g) + 2) * food.step_g
    spoilt = with_serving(sound.plan, grams=many)
    assert any("above the daily ceiling" in what for what in faults(sound, spoilt))


def test_a_missing_ingredient_is_found(sound):
    dish = sound.context.by_key[sound.plan.days[0].meals[1].dish]
    needed = next(line.food for line in dish.lines if not line.optional)

    def change(meal):
        kept = tuple(part for part in meal.servings if part.food != needed)
        return meal.model_copy(update={"servings": kept})

    spoilt = with_meal(sound.plan, change)
    assert any(f"lacks {needed}" in what for what in faults(sound, spoilt))


def test_a_foreign_ingredient_is_found(sound):
    meal = sound.plan.days[0].meals[1]
    foreign = next(
        food
        for food in Catalogue.load()
        if food.key not in {line.food for line in sound.context.by_key[meal.dish].lines}
    )
    spoilt = with_serving(sound.plan, food=foreign.key, ndb=foreign.ndb, grams=foreign.step_g)
    assert any("is not part of" in what for what in faults(sound, spoilt))


def test_a_wrong_table_number_is_found(sound):
    serving = listed(sound.plan)
    wrong = next(f.ndb for f in Catalogue.load() if f.ndb not in (None, serving.ndb))
    spoilt = with_listed(sound.plan, ndb=wrong)
    said = f"{serving.food} carries table number {wrong}, not {serving.ndb}"
    assert any(said in what for what in faults(sound, spoilt))


def test_a_missing_table_number_is_found(sound):
    said = f"{listed(sound.plan).food} carries table number None"
    assert any(said in what for what in faults(sound, with_listed(sound.plan, ndb=None)))


def listed(plan):
    """Give the first serving of a plan's first day that a table lists."""
    return next(s for meal in plan.days[0].meals for s in meal.servings if s.ndb is not None)


def with_listed(plan, **update):
    """Change that serving."""
    meal, serving = next(
        (m, s)
        for m, meal in enumerate(plan.days[0].meals)
        for s, part in enumerate(meal.servings)
        if part.ndb is not None
    )
    return with_serving(plan, meal=meal, serving=serving, **update)


def test_a_dish_at_the_wrong_meal_is_found(sound):
    def change(meal):
        wrong = next(
            o
            for o in ("breakfast", "midday", "evening", "small")
            if o not in sound.context.by_key[meal.dish].occasions
        )
        return meal.model_copy(update={"occasion": wrong})

    assert any("does not suit" in what for what in faults(sound, with_meal(sound.plan, change)))


def test_a_dish_nobody_offers_is_found(sound):
    spoilt = with_meal(sound.plan, lambda meal: meal.model_copy(update={"dish": "no-such-dish"}))
    assert any("no-such-dish is no dish on offer" in what for what in faults(sound, spoilt))


def test_a_dish_twice_in_a_day_is_found(sound):
    day = sound.plan.days[0]
    meals = (*day.meals[:-1], day.meals[1].model_copy(update={"slot": day.meals[-1].slot}))
    spoilt = with_day(sound.plan, day.model_copy(update={"meals": meals}))
    assert any("is served 2 times in a day" in what for what in faults(sound, spoilt))


def spoil_line(plan, key, **update):
    day = plan.days[0]
    lines = tuple(
        line.model_copy(update=update) if line.key == key else line for line in day.adequacy
    )
    return with_day(plan, day.model_copy(update={"adequacy": lines}))


@pytest.mark.parametrize("key", ["protein_g", "iron_mg", "lysine_g", "calcium_mg"])
def test_a_nutrient_total_that_was_not_added_up_is_found(sound, key):
    (line,) = [line for line in sound.plan.days[0].adequacy if line.key == key]
    spoilt = spoil_line(sound.plan, key, from_food=line.from_food * 1.005)
    assert any(f"reported {key}" in what for what in faults(sound, spoilt))


def test_a_total_that_forgets_the_supplement_is_found(sound):
    (line,) = [line for line in sound.plan.days[0].adequacy if line.key == "vitamin_b12_ug"]
    assert line.from_supplement > 0
    spoilt = spoil_line(sound.plan, "vitamin_b12_ug", total=line.from_food)
    assert any("do not add up" in what for what in faults(sound, spoilt))


def test_a_moved_floor_is_found(sound):
    spoilt = spoil_line(sound.plan, "iron_mg", low=1.0)
    assert any("not the target" in what for what in faults(sound, spoilt))


def test_a_line_left_out_of_the_report_is_found(sound):
    day = sound.plan.days[0]
    lines = tuple(line for line in day.adequacy if line.key != "zinc_mg")
    spoilt = with_day(sound.plan, day.model_copy(update={"adequacy": lines}))
    assert any("zinc_mg has a target and no line" in what for what in faults(sound, spoilt))


def test_a_miss_called_met_is_found(sound):
    def change(meal):
        return meal.model_copy(update={"servings": meal.servings[:1]})

    spoilt = sound.plan
    for meal in range(len(sound.plan.days[0].meals)):
        spoilt = with_meal(spoilt, change, meal=meal)
    assert any("is said to be met and is not" in what for what in faults(sound, spoilt))


def test_a_portion_kept_too_long_is_found(sound):
    date = sound.plan.days[6].date - dt.timedelta(days=6)
    spoilt = with_meal(
        sound.plan, lambda meal: meal.model_copy(update={"leftover_from": date}), at=6
    )
    assert any("kept 6 days" in what for what in faults(sound, spoilt))


def test_a_kept_portion_nobody_cooked_is_found(sound):
    days = sound.plan.days
    at, meal = next(
        (at, meal.slot)
        for at in range(1, len(days))
        for meal in days[at].meals
        if meal.dish not in {other.dish for other in days[at - 1].meals}
    )
    date = days[at - 1].date
    spoilt = with_meal(
        sound.plan,
        lambda old: old.model_copy(update={"leftover_from": date}),
        at=at,
        meal=meal,
    )
    assert any("no portion was cooked to keep" in what for what in faults(sound, spoilt))


def test_a_violation_says_on_which_day(sound):
    spoilt = with_serving(sound.plan, at=3, grams=-1.0)
    found = verify_plan(spoilt, sound.targets, frozenset(), sound.context.by_key)
    # A week's mean belongs to no one day of it: it is told under the day the week begins.
    means = [violation for violation in found if "the week's mean" in violation.what]
    assert means
    assert {violation.date for violation in means} == {sound.plan.start.isoformat()}
    of_a_day = {violation.date for violation in found if violation not in means}
    assert of_a_day == {sound.plan.days[3].date.isoformat()}


def test_a_meal_too_heavy_before_training_is_found_where_the_plan_does_not_say_so(sound):
    meal = sound.plan.days[0].meals[1]
    item = FuelItem(
        when="before", session="rowing", time=meal.time, fibre_high_g=0.5, fat_high_g=90, meal=1
    )
    first = sound.targets.days[0].model_copy(update={"fuel": (item,)})
    targets = sound.targets.model_copy(update={"days": (first, *sound.targets.days[1:])})

    def found(plan):
        said = verify_plan(plan, targets, frozenset(), sound.context.by_key)
        return [one.what for one in said if "before training" in one.what]

    assert len(found(sound.plan)) == 1
    honest = with_meal(sound.plan, lambda old: old.model_copy(update={"over_before": ("fibre_g",)}))
    assert found(honest) == []
    late = with_meal(sound.plan, lambda old: old.model_copy(update={"time": "23:00"}))
    faults_of_late = verify_plan(late, targets, frozenset(), sound.context.by_key)
    assert any("is at 23:00" in one.what for one in faults_of_late)
