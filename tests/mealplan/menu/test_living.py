"""A week keeps to how the household lives: minutes, cooking days, places, tastes, the cupboard."""

import datetime as dt
from collections import Counter

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.load import load_dishes
from mealplan.client.household import Living, ShopOptions
from mealplan.client.read import parse_intake
from mealplan.cooking.sheet import batch_plan
from mealplan.market.forms import as_bought, boiling_ahead_min
from mealplan.menu.context import Context
from mealplan.menu.offers import table_at
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.rules.preferences.barred import NONE, WITHOUT_COOKING, breach
from mealplan.rules.preferences.places import can_be_eaten
from mealplan.shopping.build import shopping_list
from mealplan.targets.make import make_targets

DISHES = {dish.key: dish for dish in load_dishes()}
SHORT = dict.fromkeys(("mon", "tue", "thu", "fri", "sat"), 5) | {"sun": 90, "wed": 60}


BODY = {
    "role": "club swimmer",
    "start": "2026-11-29",
    "sex": "female",
    "age_years": 26,
    "height_cm": 172,
    "weight_kg": 66,
    "goal": {"phase": "hold"},
    "activity": {"method": "multiplier", "pal": 1.7},
}
MONDAY = dt.date(2026, 11, 30)


def planned(start="2026-11-29", **parts):
    intake = parse_intake(BODY | {"start": start, **parts})
    targets = make_targets(intake)
    plan = make_plan(intake, targets)
    assert not verify_plan(plan, targets, frozenset(), DISHES)
    assert plan.musts_missed == ()
    return intake, plan


@pytest.fixture(scope="module")
def cooking_twice():
    living = {"cooking_days": ["sun", "wed"]}
    return planned(kitchen={"hands_on_min": SHORT, "living": living})


def test_with_two_cooking_days_no_day_takes_longer_than_it_may(cooking_twice):
    intake, plan = cooking_twice
    sheet = batch_plan(plan, intake)
    over = [
        day.weekday
        for day, cooked in zip(plan.days, sheet.days, strict=True)
        if cooked.hands_on_min + cooked.ahead_min > SHORT[day.weekday]
    ]
    assert over == []
    assert not [said for said in plan.explanation if "minutes" in said]


def test_every_dinner_is_cooked_on_a_cooking_day(cooking_twice):
    _, plan = cooking_twice
    cooked = [
        (meal.leftover_from or day.date).strftime("%a")
        for day in plan.days
        for meal in day.meals
        if meal.occasion == "evening"
    ]
    assert set(cooked) <= {"Sun", "Wed"}


def test_a_plan_that_begins_between_cooking_days_says_so_before_it_is_lived():
    living = {"cooking_days": ["sun", "wed"]}
    _, plan = planned("2026-11-30", kitchen={"living": living})
    assert any("begin it on a cooking day" in said for said in plan.explanation)


def test_meals_are_such_as_can_be_eaten_where_they_are():
    living = {"with_nothing": ["weekdays midday"], "on_the_move": ["sat small"]}
    _, plan = planned(kitchen={"living": living})
    known = Living(**living)
    assert all(
        can_be_eaten(
            DISHES[meal.dish],
            known.place_of(day.weekday, meal.occasion),
            kept=meal.leftover_from is not None,
        )
        for day in plan.days
        for meal in day.meals
    )


def test_the_barest_place_counts_where_a_meal_is_named_twice():
    living = Living(with_kettle=("daily midday",), with_nothing=("weekdays midday",))
    assert living.place_of("mon", "midday") == "nothing"
    both = Living(with_kettle=("mon midday",), with_microwave=("mon midday",))
    assert both.place_of("mon", "midday") == "microwave"
    assert living.place_of("sat", "midday") == "kettle"
    assert living.place_of("sat", "evening") == "home"


# Source: common practice, dish by dish; readers marked each of these places in printed weeks.
HAD = {
    "hummus-red-pepper-spinach-wrap": {"microwave", "kettle", "nothing", "on the move"},
    "black-bean-couscous-sweetcorn": {"microwave", "kettle", "nothing"},
    "miso-noodle-pot-tofu": {"microwave", "kettle"},
    "tomato-lentil-soup-microwave": {"microwave"},
    "frozen-vegetable-tofu-teriyaki-rice": {"microwave"},
    "soy-protein-oat-pot-before-bed": {"microwave", "kettle", "nothing"},
    "protein-shake-soymilk-banana": set(),
    "fluffy-soymilk-pancakes": set(),
}


@pytest.mark.parametrize("dish", HAD)
def test_a_dish_is_had_where_it_can_be_carried_or_made(dish):
    places = ("microwave", "kettle", "nothing", "on the move")
    assert {place for place in places if can_be_eaten(DISHES[dish], place)} == HAD[dish]


def test_nothing_is_cooked_or_heated_in_a_cab_with_a_kettle():
    # source: common practice; a lorry driver's week that was planned with a microwave and a hob
    away = ("breakfast", "midday", "small", "evening")
    living = {
        "cooking_days": ["sat", "sun"],
        "with_kettle": ["weekdays breakfast", "weekdays evening"],
        "on_the_move": ["weekdays midday", "weekdays small"],
        "kept_cold": [f"weekdays {meal}" for meal in away],
    }
    _, plan = planned(kitchen={"living": living})
    catalogue = Catalogue.load()
    cab = [day for day in plan.days if day.weekday not in ("sat", "sun")]
    for meal in (meal for day in cab for meal in day.meals):
        dish = DISHES[meal.dish]
        if meal.leftover_from is None:
            assert set(dish.equipment) <= {"none", "kettle"}
            needed = {line.food for line in dish.lines if not line.optional}
            assert not [key for key in needed if catalogue.food(key).aisle == "frozen"]
        else:
            assert dish.kept == "cold" or dish.equipment == ("none",)
        assert meal.occasion not in ("midday", "small") or dish.from_hand
    assert not [said for said in plan.explanation if said.startswith("Not to be had")]


def test_on_a_day_of_leftovers_no_main_meal_is_cooked(cooking_twice):
    _, plan = cooking_twice
    fresh = [
        DISHES[meal.dish]
        for day in plan.days
        for meal in day.meals
        if day.weekday not in ("sun", "wed")
        and meal.leftover_from is None
        and meal.occasion in ("midday", "evening")
    ]
    assert not [dish for dish in fresh if not set(dish.equipment) <= WITHOUT_COOKING]


def test_rice_is_not_carried_about_unless_it_lies_cold():
    # source: UK Food Standards Agency, advice on cooked rice (the table food_safety.csv)
    cold = {"with_nothing": ["weekdays midday"], "kept_cold": ["weekdays midday"]}
    for living, may in (({"with_nothing": ["weekdays midday"]}, False), (cold, True)):
        intake = parse_intake(BODY | {"kitchen": {"living": living}})
        targets = make_targets(intake)
        context = Context.make(intake, targets)
        midday = next(slot for slot in context.slots if slot.occasion == "midday")
        table = table_at(context, 1, targets.on_date(MONDAY), midday, {})
        assert (breach("sushi-bowl-edamame-avocado", table, kept=False) == NONE) is may


def test_a_tradition_liked_most_has_more_than_half_of_the_dinners_and_a_disliked_one_none():
    _, plan = planned(tastes={"favourites": ["South Asian"], "dislikes": ["Italian"]})
    dinners = [DISHES[meal.dish] for day in plan.days for meal in day.meals[-1:]]
    assert sum(dish.tradition == "South Asian" for dish in dinners) >= 4
    assert not [dish for dish in dinners if dish.tradition == "Italian"]


def test_beans_at_home_are_boiled_for_dishes_that_would_open_tins():
    cupboard = [{"food": "black_beans_cooked", "grams": 2000}]
    intake, plan = planned(kitchen={"cupboard": cupboard})
    lines = [line for line in shopping_list(plan, intake).lines if line.from_cupboard_g]
    assert sum(line.from_cupboard_g for line in lines) > 100
    assert all(line.buy_g == 0 for line in lines)


def test_what_is_bought_in_tins_takes_no_time_ahead_and_what_is_dried_does():
    catalogue, shop = Catalogue.load(), ShopOptions()
    beans = catalogue.food("black_beans_cooked")
    assert boiling_ahead_min(beans, shop) == 10  # source: common practice (soak, boil, drain)
    assert boiling_ahead_min(beans, shop, time_to_boil=False) == 0
    tinned = catalogue.food("black_beans_canned_drained")
    assert boiling_ahead_min(tinned, shop) == 0
    assert boiling_ahead_min(tinned, shop, home={beans.bought_name}) == 10
    assert as_bought(tinned, shop, home={beans.bought_name}).food == beans
    assert as_bought(tinned, shop).food == tinned


@pytest.mark.parametrize(
    ("living", "most"),
    [
        ({"variety": "steady", "cooking_days": ["sun"]}, 4),
        # source: worked by hand (one day cooks for all, so a pot of four is eaten up)
        ({"variety": "usual", "cooking_days": ["sun"]}, 4),
        ({"variety": "usual"}, 3),
    ],
)
def test_a_main_dish_comes_no_more_often_than_the_household_likes(living, most):
    # source: common practice (asked for by readers who were served one soup on seven evenings)
    _, plan = planned(kitchen={"living": living})
    mains = Counter(
        meal.dish
        for day in plan.days
        for meal in day.meals
        if meal.occasion in ("midday", "evening")
    )
    assert max(mains.values()) <= most
