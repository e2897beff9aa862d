"""Several at one table: one pot, own plates, nobody harmed and nobody's numbers shown."""

import datetime as dt

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.load import dishes_by_key, load_dishes
from mealplan.client.read import parse_intake
from mealplan.cooking.sheet import batch_plan
from mealplan.errors import IntakeError, SafetyRefusal
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.menu.seats import beside
from mealplan.menu.table import AtTable, faults_of, plan_table
from mealplan.menu.table_check import check_table
from mealplan.render.table import canteen_text, table_text
from mealplan.shopping.door import shopping_list
from mealplan.table.model import Guest, read_shared
from mealplan.table.together import kitchen_of, side_by_side
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import Notice

GLUTEN_GRAINS = {"wheat", "rye", "barley", "gluten"}


def athlete(role, sex, weight_kg, height_cm, pal, **more):
    intake = parse_intake(
        {
            "schema_version": 1,
            "role": role,
            "sex": sex,
            "age_years": 30,
            "height_cm": height_cm,
            "weight_kg": weight_kg,
            "start": "2026-11-30",
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": pal},
            **more,
        }
    )
    return AtTable(intake, make_targets(intake))


@pytest.fixture(scope="module")
def eaters():
    return (
        athlete("rowing partner", "male", 86, 188, 1.75),
        athlete("climber", "female", 57, 164, 1.5, tastes={"allergies": ["gluten"]}),
    )


@pytest.fixture(scope="module")
def planned(eaters):
    child = Guest(label="child", portion=0.5, allergies=("sesame",))
    return plan_table(eaters, read_shared(["dinner"]), guests=[child], days=3)


@pytest.fixture(scope="module")
def joined(planned):
    kitchen = kitchen_of(planned.decided, planned.intakes)
    return side_by_side(planned.decided, planned.plans, kitchen, whole=False), kitchen


def dinners(plan):
    return [meal for day in plan.days for meal in day.meals if meal.occasion == "evening"]


def test_two_athletes_of_unlike_needs_eat_from_one_pot_and_meet_their_own_rows(eaters, planned):
    needs = sorted(eater.targets.energy.value for eater in eaters)
    assert needs[0] < 2000
    assert needs[1] > 3200
    assert faults_of(planned, eaters) == ()
    for first, other in zip(*map(dinners, planned.plans), strict=True):
        assert (first.dish, first.leftover_from) == (other.dish, other.leftover_from)
        assert first.energy_kcal > other.energy_kcal
    assert all(plan.musts_missed == () for plan in planned.plans)


def test_no_pot_holds_what_an_eater_or_a_guest_must_not_have(planned):
    catalogue = Catalogue.load()
    for plan in planned.plans:
        for serving in (serving for meal in dinners(plan) for serving in meal.servings):
            held = set(catalogue.food(serving.food).allergens)
            assert not held & (GLUTEN_GRAINS | {"sesame"}), serving.food


def test_what_is_cooked_and_bought_is_the_sum_of_the_plates(planned, joined):
    plan, kitchen = joined
    for day, *own in zip(plan.days, *(one.days for one in planned.plans), strict=True):
        plates = [meal for meal in day.meals if meal.occasion == "evening"]
        assert [meal.eater for meal in plates] == ["rowing partner", "climber", "child"]
        alone = [sum(s.grams for s in m.servings) for one in own for m in dinners_of(one)]
        filled = [sum(s.grams for s in meal.servings) for meal in plates]
        # worked by hand: a guest's plate is half the mean of two
        assert filled[:2] == pytest.approx(alone)
        assert filled[2] == pytest.approx(sum(alone) / 4, rel=1e-3)
    shopping = shopping_list(plan, kitchen)
    eaten = sum(s.grams for day in plan.days for meal in day.meals for s in meal.servings)
    assert sum(line.eaten_g for line in shopping.lines) == pytest.approx(eaten, rel=0.01)


def dinners_of(day):
    return [meal for meal in day.meals if meal.occasion == "evening"]


def test_hands_are_counted_once_a_pot(planned, joined):
    plan, kitchen = joined
    for day, cooked in zip(plan.days, batch_plan(plan, kitchen).days, strict=True):
        assert cooked.hands_on_min == sum(meal.hands_on_min for meal in day.meals)
        working = [meal for meal in dinners_of(day) if meal.hands_on_min]
        assert len(working) <= 1
        for cooking in cooked.cookings:
            assert len(cooking.plates) == 3
            assert cooking.plates[1].startswith("climber: ")


def test_what_everyone_sees_tells_no_ones_targets_or_energy(planned, joined):
    plan, kitchen = joined
    batch = batch_plan(plan, kitchen)
    said = table_text(planned.decided, batch, shopping_list(plan, kitchen))
    said += canteen_text(planned.decided, planned.intakes, plan, batch)
    assert "kcal" not in said
    assert " kg)" not in said
    assert all(day.adequacy == () and day.energy_target_kcal == 0 for day in plan.days)
    assert "child: 0" not in said
    assert "sesame" in said


def test_a_broken_promise_of_the_table_is_found(planned):
    meal = planned.decided.meals[0]
    dishes, space = dishes_by_key(load_dishes()), FoodSpace.of(Catalogue.load())
    apart = {one.dish: beside(dishes[one.dish], space) for one in planned.decided.meals}

    def spoilt(change):
        plan = planned.plans[1]
        days = list(plan.days)
        days[0] = days[0].model_copy(
            update={
                "meals": tuple(
                    change(one) if one.occasion == "evening" else one for one in days[0].meals
                )
            }
        )
        plans = (planned.plans[0], plan.model_copy(update={"days": tuple(days)}))
        return " ".join(
            fault.what for fault in check_table(planned.decided, plans, frozenset(), apart)
        )

    def tripled(one):
        pot = [s for s in one.servings if s.food not in apart[one.dish]]
        most = max(pot, key=lambda s: s.grams)
        more = most.model_copy(update={"grams": 9 * most.grams})
        return one.model_copy(
            update={"servings": tuple(more if s is most else s for s in one.servings)}
        )

    assert "not everyone eats" in spoilt(lambda one: one.model_copy(update={"dish": "another"}))
    earlier = meal.date - dt.timedelta(days=1)
    pots = spoilt(lambda one: one.model_copy(update={"leftover_from": earlier}))
    assert "different pots" in pots
    assert "times as much" in spoilt(tripled)
    food = dinners(planned.plans[0])[0].servings[0].food
    kept = check_table(planned.decided, planned.plans, frozenset({food}), apart)
    assert any("cannot have it" in fault.what for fault in kept)


@pytest.mark.parametrize(
    ("said", "meant"),
    [
        (["dinner"], ("daily evening",)),
        (["Saturday lunch", "weekdays breakfast"], ("sat midday", "weekdays breakfast")),
    ],
)
def test_meals_are_named_in_plain_words(said, meant):
    assert read_shared(said) == meant


@pytest.mark.parametrize("said", [["tea time"], ["someday dinner"], []])
def test_a_meal_that_cannot_be_shared_is_refused(said):
    with pytest.raises(IntakeError):
        read_shared(said)


def test_two_of_one_role_and_an_unknown_allergen_are_refused(eaters):
    with pytest.raises(IntakeError, match="named by role"):
        plan_table([eaters[0], eaters[0]], read_shared(["dinner"]), days=1)
    ghost = Guest(label="guest", allergies=("moonstone",))
    with pytest.raises(IntakeError, match="guest 'guest'"):
        plan_table(eaters, read_shared(["dinner"]), guests=[ghost], days=1)


def test_who_may_not_be_planned_for_stops_the_table(eaters):
    notice = Notice(code="pregnancy", severity="refuse", message="No deficit.", see="A physician.")
    stopped = AtTable(eaters[1].intake, eaters[1].targets.model_copy(update={"notices": (notice,)}))
    with pytest.raises(SafetyRefusal, match="No deficit"):
        plan_table([eaters[0], stopped], read_shared(["dinner"]), days=1)
