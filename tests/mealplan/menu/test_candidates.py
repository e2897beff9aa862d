"""What a client may be served: exclusions leave out, dislikes cost, portions fit the meal."""

from __future__ import annotations

import numpy as np
import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.load import load_dishes
from mealplan.client.read import parse_intake
from mealplan.errors import IntakeError, NoPlanError, SafetyRefusal
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.preferences import read_exclusions
from mealplan.menu.candidates import make_choice, suits
from mealplan.menu.context import Context
from mealplan.menu.occasions import slots_for
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets

CATALOGUE = Catalogue.load()
DISHES = load_dishes()
SPACE = FoodSpace.load()


def client(**fields):
    return parse_intake(
        {
            "role": "club lifter",
            "sex": "male",
            "age_years": 28,
            "height_cm": 180,
            "weight_kg": 80,
            "start": "2026-11-30",
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": 1.7},
            **fields,
        }
    )


def exclusions(health=(), **tastes):
    return read_exclusions(client(health=list(health), tastes=tastes), CATALOGUE, DISHES)


def offered(slot=1, kcal=800, health=(), kitchen=None, **tastes):
    """Choices of one meal, by dish key."""
    intake = client(health=list(health), tastes=tastes, kitchen=kitchen or {})
    banned = read_exclusions(intake, CATALOGUE, DISHES)
    meal = slots_for(intake)[slot]
    made = {
        dish.key: make_choice(dish, meal, kcal, SPACE, banned)
        for dish in DISHES
        if suits(dish, meal, intake, banned)
    }
    return {key: choice for key, choice in made.items() if choice is not None}


# -------------------------------------------------------------------------------- exclusions


@pytest.mark.parametrize("word", ["soy", "gluten", "tree_nut", "peanut", "sesame", "mushrooms"])
def test_an_excluded_food_is_in_no_choice(word):
    banned = {SPACE.index[food.key] for food in CATALOGUE.match(word)}
    for choice in offered(never=[word]).values():
        assert not banned & set(choice.foods.tolist()), choice.dish


def test_a_dish_stays_when_only_an_add_on_is_excluded():
    dish = next(
        d for d in DISHES if "midday" in d.occasions and any(line.optional for line in d.lines)
    )
    add_on = next(line.food for line in dish.lines if line.optional)
    left = offered(never=[add_on])
    assert dish.key in left
    assert SPACE.index[add_on] not in left[dish.key].foods


def test_a_dish_goes_when_a_food_it_needs_is_excluded():
    dish = next(d for d in DISHES if "midday" in d.occasions)
    needed = next(line.food for line in dish.lines if not line.optional)
    assert dish.key not in offered(never=[needed])


def test_coeliac_disease_excludes_gluten_without_being_asked():
    assert {"flour_white", "soy_sauce_shoyu", "oats_rolled"} <= exclusions(
        ["coeliac disease"]
    ).foods


def test_oats_come_back_only_when_the_client_says_so():
    without = exclusions(allergies=["gluten"]).foods
    allowed = exclusions(allergies=["gluten"], oats_ok_when_gluten_free=True).foods
    assert "oats_rolled" in without
    assert "oats_rolled" not in allowed
    assert {"flour_white", "barley_pearl_cooked", "crispbread_rye"} <= allowed


def test_an_allergy_to_oats_outweighs_leave_to_eat_them():
    found = exclusions(allergies=["gluten", "oats"], oats_ok_when_gluten_free=True).foods
    assert "oats_rolled" in found


def test_a_history_of_anaphylaxis_excludes_what_labels_often_carry():
    plain = exclusions(allergies=["peanut"]).foods
    strict = exclusions(["anaphylaxis"], allergies=["peanut"]).foods
    assert plain < strict


def test_never_and_allergy_outweigh_likes_and_dislikes():
    found = exclusions(allergies=["soy"], never=["rice"], likes=["tofu", "rice"], dislikes=["tofu"])
    assert not found.foods & (found.liked | found.disliked)


def test_a_dish_can_be_refused_by_its_key():
    key = next(d.key for d in DISHES if "midday" in d.occasions)
    assert key not in offered(never=[key])


@pytest.mark.parametrize("field", ["allergies", "never", "dislikes", "likes"])
def test_a_word_that_means_nothing_is_refused_with_its_field(field):
    with pytest.raises(IntakeError, match=rf"tastes\.{field}.*xylophone"):
        exclusions(**{field: ["xylophone"]})


def test_words_are_counted_for_the_reader():
    assert exclusions(never=["mushrooms"]).words["mushrooms"] >= 5


def test_when_nothing_is_left_the_refusal_says_what_rules_dishes_out():
    intake = client(
        tastes={"never": ["legumes", "grains", "potatoes", "nuts", "seeds", "fruit", "vegetables"]}
    )
    with pytest.raises(NoPlanError, match="no dish is left for the") as told:
        make_plan(intake, make_targets(intake), days=1)
    assert any("'legumes' rules out" in line for line in told.value.clashing)


def test_no_dishes_at_all_is_a_refusal_not_a_fault():
    intake = client()
    with pytest.raises(NoPlanError, match="no dish is left"):
        make_plan(intake, make_targets(intake), days=1, dishes=[])


@pytest.mark.parametrize("days", [0, -1, 29])
def test_days_beyond_four_weeks_are_refused_with_the_number(days):
    intake = client()
    with pytest.raises(NoPlanError, match=f"days={days} is outside 1 to 28"):
        make_plan(intake, make_targets(intake), days=days)


def test_a_dangerous_deficit_is_refused():
    intake = client(goal={"phase": "cut", "energy_kcal": 1900})
    with pytest.raises(SafetyRefusal, match="See a"):
        make_plan(intake, make_targets(intake), days=1)


# ------------------------------------------------------------------------ prices of preference


def test_a_disliked_food_makes_its_dishes_dearer():
    plain, disliked = offered(), offered(dislikes=["tofu"])
    tofu = {food.key for food in CATALOGUE.match("tofu")}
    for dish in DISHES:
        if dish.key not in plain or dish.key not in disliked:
            continue
        needs = {line.food for line in dish.lines if not line.optional} & tofu
        change = disliked[dish.key].cost - plain[dish.key].cost
        assert (change > 0.3) if needs else (change == pytest.approx(0))


def test_a_liked_food_makes_its_dishes_cheaper():
    plain, liked = offered(), offered(likes=["chickpeas"])
    cheaper = [key for key in plain if liked[key].cost < plain[key].cost - 1e-9]
    assert cheaper
    assert all(liked[key].cost <= plain[key].cost + 1e-9 for key in plain)


def test_a_disliked_add_on_is_left_off():
    spoilt = offered(dislikes=["avocado"])
    avocado = SPACE.index["avocado"]
    for choice in spoilt.values():
        at = np.flatnonzero(choice.foods == avocado)
        assert not choice.optional[at].any()


def test_hot_dishes_are_left_out_for_those_who_bear_no_heat():
    heat = {dish.key: dish.heat for dish in DISHES}
    assert max(heat[key] for key in offered(heat_max=0)) == 0
    assert max(heat[key] for key in offered(heat_max=3)) > 0


def test_only_tools_in_the_kitchen_are_asked_for():
    tools = {dish.key: set(dish.equipment) for dish in DISHES}
    left = offered(kitchen={"equipment": ["hob"]})
    assert left
    assert all(tools[key] <= {"hob", "none"} for key in left)


# ----------------------------------------------------------------------------------- portions


@pytest.mark.parametrize("kcal", [250, 500, 900, 1600])
def test_portions_stand_on_the_kitchen_grid_under_the_ceiling(kcal):
    for choice in offered(kcal=kcal).values():
        for amounts in (choice.low, choice.typical, choice.high):
            steps = amounts / choice.step
            np.testing.assert_allclose(steps, np.round(steps), atol=1e-6)
        assert (choice.low > 0).all()
        assert (choice.low <= choice.typical + 1e-9).all()
        assert (choice.typical <= choice.high + 1e-9).all()
        assert (choice.high <= SPACE.max_g_day[choice.foods] + 1e-6).all()


def test_typical_amounts_keep_the_ratios_a_cook_relies_on():
    seen = 0
    for slot in range(4):
        for choice in offered(slot=slot).values():
            for first, second, low, high in choice.ratios:
                ratio = choice.typical[first] / choice.typical[second]
                assert low - 1e-9 <= ratio <= high + 1e-9
                seen += 1
    said = sum(len(d.ratios) * len(d.occasions) for d in DISHES)
    assert seen > said > 0  # those the dishes say, and drink to the grain it is stirred into


def test_a_drink_keeps_its_proportion_to_the_grain_it_is_stirred_into():
    # source: common practice (half to twice the proportion of the recipe)
    held = 0
    for slot in range(4):
        for choice in offered(slot=slot).values():
            roles = [SPACE.foods[place].role for place in choice.foods]
            for first, second, low, high in choice.ratios:
                if (roles[first], roles[second]) == ("liquid", "starch"):
                    held += 1
                    assert high <= 4 * low + 1e-9
    assert held > 20


def test_a_larger_meal_has_larger_typical_portions():
    energy = SPACE.per_gram("energy_kcal")
    small, large = offered(kcal=500), offered(kcal=900)
    for key in small.keys() & large.keys():
        less, more = (
            float(choice.typical[~choice.optional] @ energy[choice.foods[~choice.optional]])
            for choice in (small[key], large[key])
        )
        # what a slice holds bounds both, and is shared out in whole kitchen steps
        assert less <= 1.03 * more + 1e-9


def test_every_client_keeps_five_dishes_a_meal():
    for tastes in (
        {"allergies": ["soy"]},
        {"allergies": ["gluten"]},
        {"allergies": ["tree_nut", "peanut"]},
        {"allergies": ["sesame"]},
        {"allergies": ["soy", "gluten", "tree_nut", "peanut"]},
    ):
        intake = client(tastes=tastes)
        targets = make_targets(intake)
        choices = Context.make(intake, targets).choices(targets.on("mon"))
        assert min(len(offer) for offer in choices) >= 5
