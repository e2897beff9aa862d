"""No dried pulse is eaten raw or under-boiled, whichever dish it is in and whatever is printed."""

from __future__ import annotations

import re

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.load import load_dishes, parse_dishes
from foods.dishes.model import Dish
from mealplan.client.intake import Intake
from mealplan.cooking.sheet import batch_plan
from mealplan.kitchen.boiling import boiling_of, cooks_from_dry, pulses_to_boil, strictest
from mealplan.menu.context import Context
from mealplan.menu.served import Served, Solved
from mealplan.menu.write import plan_day
from mealplan.plan import PlanDay
from mealplan.render.text import plan_text
from mealplan.shopping.door import shopping_list
from mealplan.targets.make import make_targets

CATALOGUE = Catalogue.load()

# source: published (US FDA, Bad Bug Book 2nd ed. 2012: soak 5 h, boil hard 30 min, for kidney
# beans; Grant et al. 1983, doi 10.1079/bjn19830090, puts the other kinds of the species and lima
# beans beside them); hyacinth beans by analogy
LECTIN = (
    "kidney", "black_beans", "black_turtle", "pinto", "navy", "white_beans", "great_northern",
    "pink_beans", "cranberry", "yellow_beans", "lima", "hyacinth",
)  # fmt: skip
LECTIN_SOAK_H, LECTIN_HARD_MIN = 5, 30
# source: published (USA Pulses, how to make pulses: chickpeas, lentils, split peas) and common
# practice of growers' and wholefood pages for the others
LEAST_MIN = {
    "chickpeas_cooked": 90, "lentils_cooked": 20, "split_peas_cooked": 35, "mung_beans_cooked": 25,
    "adzuki_beans_cooked": 25, "black_eyed_peas_cooked": 30, "pigeon_peas_cooked": 25,
    "soybeans_cooked": 90, "fava_beans_cooked": 45,
}  # fmt: skip
DRIED = tuple(
    food
    for food in CATALOGUE.foods
    if food.group in ("beans", "lentils and peas", "chickpeas", "soy foods")
    and food.state == "boiled"
    and food.aisle == "dry beans & grains"
)
WITH_PULSE = tuple(
    dish for dish in load_dishes() if {x.food for x in dish.lines} & {food.key for food in DRIED}
)


def is_lectin(key: str) -> bool:
    return any(word in key for word in LECTIN)


def needed(key: str) -> int:
    return LEAST_MIN.get(key, LECTIN_HARD_MIN)


def says_enough(text: str, key: str) -> bool:
    """Read a printed order to boil: long enough, and hard enough, for the kind."""
    minutes = [int(n) for n in re.findall(r"(\d+) min(?:utes)?\b", text)]
    hard = re.search(r"boil hard for (\d+) minutes", text)
    if is_lectin(key) and not (hard and int(hard[1]) >= LECTIN_HARD_MIN):
        return False
    return bool(minutes) and max(minutes) >= needed(key)


def method_boils(dish: Dish, called: str, key: str) -> bool:
    """Read a method: the step that simmers the food goes on long enough."""
    steps = [step for step in dish.method if called.lower() in step.lower()]
    return any(
        int(minutes) >= needed(key)
        for step in steps
        for minutes in re.findall(r"(?:simmer|boil)\b[^.;]*?(\d+) minutes", step, re.IGNORECASE)
    )


@pytest.mark.parametrize("food", DRIED, ids=lambda food: food.key)
def test_each_dried_pulse_has_the_soak_and_boil_of_its_kind(food):
    row = boiling_of(food)
    assert row is not None
    assert row.kind == "pulse"
    assert row.boil_min >= needed(food.key)
    if is_lectin(food.key):
        assert row.soak_hours >= LECTIN_SOAK_H
        assert LECTIN_HARD_MIN <= row.hard_boil_min <= row.boil_min


def test_a_pulse_without_a_row_gets_the_longest_soak_and_boil():
    unknown = CATALOGUE.food("navy_beans_cooked").model_copy(update={"key": "moth_beans_cooked"})
    row = boiling_of(unknown)
    assert row == strictest()
    rows = [boiling_of(food) for food in DRIED]
    assert row.soak_hours == max(other.soak_hours for other in rows)
    assert row.hard_boil_min == max(other.hard_boil_min for other in rows) >= LECTIN_HARD_MIN
    assert row.boil_min == max(other.boil_min for other in rows)


@pytest.mark.parametrize("dish", WITH_PULSE, ids=lambda dish: dish.key)
def test_a_dish_that_says_it_cooks_a_pulse_from_dry_does_so_long_enough(dish):
    for line in dish.lines:
        food = CATALOGUE.food(line.food)
        if food in DRIED and cooks_from_dry(dish, food):
            assert method_boils(dish, line.called, food.key), line.called
        elif food in DRIED:
            said = pulses_to_boil(dish, [line.food], CATALOGUE)
            assert len(said) == 1
            assert says_enough(said[0], food.key)
            assert "soak" in said[0] or not boiling_of(food).soak_hours


def test_a_bean_that_must_soak_is_boiled_first_even_where_a_dish_claims_otherwise():
    [dish] = parse_dishes(
        """
        [[dish]]
        key = "hasty-beans"
        name = "Hasty beans"
        tradition = "European"
        occasions = ["evening"]
        hands_on_min = 5
        total_min = 15
        keeps_days = 1
        batch_portions = 2
        equipment = ["hob"]
        cooks_from_dry = ["kidney_beans_red_cooked"]
        lines = [
          {food="kidney_beans_red_cooked", called="kidney beans", g=[80, 120, 160]},
          {food="olive_oil", called="oil", g=[2, 4, 8]},
        ]
        method = ["Simmer the kidney beans in the oil and water for 10 minutes."]
        """
    )
    assert not cooks_from_dry(dish, CATALOGUE.food("kidney_beans_red_cooked"))


def test_cooks_from_dry_must_name_a_line_of_the_dish():
    with pytest.raises(ValueError, match="cooks_from_dry"):
        Dish.model_validate(
            {**load_dishes()[0].model_dump(), "cooks_from_dry": ("kidney_beans_red_cooked_x",)}
        )


def test_no_dish_file_gives_a_boiling_time_of_its_own_for_dried_beans():
    for dish in load_dishes():
        assert "ten minutes" not in " ".join((*dish.method, *dish.cautions)), dish.key
        assert "from dry" not in " ".join((*dish.method, *dish.cautions)), dish.key


def printed(batch) -> list[str]:
    lines = list(batch.evening_before)
    for day in batch.days:
        lines += [*(step.text for step in day.order), *day.tonight]
    return lines


@pytest.mark.parametrize("dish", WITH_PULSE, ids=lambda dish: dish.key)
def test_the_cooking_sheet_soaks_and_boils_every_dried_pulse_of_every_dish(week, put_in, dish):
    intake, plan = week
    single = intake.model_copy(
        update={"kitchen": intake.kitchen.model_copy(update={"hands_on_min": {}})}
    )
    one = put_in(plan, dish)
    batch = batch_plan(one, single)
    boils = {boil.food: boil for day in batch.days for boil in day.boils}
    # A shipped dish cooks all but its pulses itself.
    assert {boil.kind for boil in boils.values()} <= {"pulse"}
    for line in dish.lines:
        food = CATALOGUE.food(line.food)
        if food not in DRIED:
            continue
        if food.key not in boils:
            assert food.key in dish.cooks_from_dry
            assert method_boils(dish, line.called, food.key)
            continue
        boil = boils[food.key]
        name = boil.name.lower()
        about = [text for text in printed(batch) if name in text.lower() and "boil" in text.lower()]
        assert any(says_enough(text, food.key) for text in about), (food.key, about)
        if is_lectin(food.key):
            soaked = [t for t in printed(batch) if name in t.lower() and "soak" in t.lower()]
            hours = [int(n) for t in soaked for n in re.findall(r"at least (\d+) hours", t)]
            assert max(hours) >= LECTIN_SOAK_H
            assert any("30 minutes" in caution.text for caution in boil.cautions)


def written_with(dish: Dish, intake: Intake) -> PlanDay:
    """Write a day whose every meal is one dish, as the planner writes the days it draws."""
    targets = make_targets(intake)
    context = Context.make(intake, targets)
    served = Served(dish.key, {line.food: line.typical_g for line in dish.lines}, kept_from=None)
    meals = (served,) * len(context.slots)
    on = targets.on_date(intake.start)
    solved = Solved(meals, objective=0.0, bound=0.0, model=None, answer=None)
    return plan_day(context, 0, intake.start, on, {0: meals}, solved, {})


TOLD_TO_BOIL = tuple(
    (dish, line.food, line.called)
    for dish in WITH_PULSE
    for line in dish.lines
    if CATALOGUE.food(line.food) in DRIED and line.food not in dish.cooks_from_dry
)


def test_most_dishes_with_dried_pulses_leave_their_boiling_to_the_menu():
    assert len(TOLD_TO_BOIL) > len(WITH_PULSE) / 2


@pytest.mark.parametrize("dish", WITH_PULSE, ids=lambda dish: dish.key)
def test_menus_tell_of_the_boil_wherever_a_dried_pulse_is_served(week, dish):
    # Each dish is put into a day: a drawn week may well take all its pulses from cans.
    intake, _ = week
    for meal in written_with(dish, intake).meals:
        for of, key, called in TOLD_TO_BOIL:
            if of == dish:
                assert key in {serving.food for serving in meal.servings}
                about = [text for text in meal.cautions if called.lower() in text.lower()]
                assert any(says_enough(text, key) for text in about), (key, meal.cautions)


def test_the_printed_week_never_says_ten_minutes_for_beans(weeks):
    for intake, plan in weeks:
        text = plan_text(intake, plan, shopping_list(plan, intake))
        assert "at least ten minutes" not in text
