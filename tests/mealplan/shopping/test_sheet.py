"""What is cooked when: amounts for the batch, soaking, boxes, keeping and minutes."""

import datetime as dt
import re

import pytest

from foods.composition.catalogue import Catalogue
from foods.dishes.check import parts_of
from foods.dishes.load import load_dishes
from mealplan.client.household import Eater, ShopOptions
from mealplan.cooking.sheet import (
    Amount,
    batch_plan,
    batch_text,
    measuring_error_kcal,
    scaled_method,
)
from mealplan.errors import IntakeError
from mealplan.kitchen.boiling import boiling_of, boiling_table
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.kitchen.food_safety import advice_for, all_advice, is_rice, keeping
from mealplan.menu.fuel_foods import fuel_foods
from mealplan.shopping.door import shopping_list
from mealplan.targets.ranges import FuelItem

CATALOGUE = Catalogue.load()
HOT = {"hob", "oven", "grill", "microwave", "pressure cooker"}


@pytest.fixture(scope="module")
def batches(weeks):
    return [(intake, plan, batch_plan(plan, intake)) for intake, plan in weeks]


def test_every_gram_eaten_is_in_a_pot_or_added_on_the_day(batches):
    for intake, plan, batch in batches:
        people = intake.kitchen.people
        eaten = sum(s.grams for day in plan.days for meal in day.meals for s in meal.servings)
        in_pots = sum(a.grams for day in batch.days for c in day.cookings for a in c.amounts)
        dishes = {dish.key: dish for dish in load_dishes()}
        later = 0.0
        for day in plan.days:
            for meal in day.meals:
                if meal.leftover_from is None:
                    continue
                days = (day.date - meal.leftover_from).days
                for s in meal.servings:
                    food = CATALOGUE.food(s.food)
                    fresh_rice = is_rice(s.food) and 1 < days <= 3
                    frozen = days > 3 and dishes[meal.dish].freezes
                    dish = dishes[meal.dish]
                    on_plate = s.optional and food.state in (
                        "raw", "ready", "liquid", "roasted", "toasted", "dried", "ground", "hulled"
                    )  # fmt: skip
                    if dish.proven:
                        on_plate = s.called in parts_of(dish).fresh
                    if (fresh_rice and not frozen) or on_plate:
                        later += s.grams
        assert in_pots == pytest.approx((eaten - later) * people, abs=0.1 * 400)


def test_every_meal_is_cooked_or_kept_on_its_day(batches):
    for _, plan, batch in batches:
        for day, cook in zip(plan.days, batch.days, strict=True):
            assert len(day.meals) == len(cook.cookings) + len(cook.kept)


def test_every_kept_meal_has_a_box_from_its_cooking(batches):
    for intake, _, batch in batches:
        boxes = sum(len(c.boxes) for day in batch.days for c in day.cookings)
        kept = sum(len(day.kept) for day in batch.days)
        assert boxes == kept * intake.kitchen.people


def test_no_box_is_eaten_after_it_keeps(batches):
    # source: published (USDA FSIS: leftovers 3 to 4 days in the fridge; the shorter end is used)
    for _, _, batch in batches:
        for day in batch.days:
            for cooking in day.cookings:
                for box in cooking.boxes:
                    assert box.eaten_on <= box.eat_by
                    if box.keep_in == "fridge":
                        assert (box.eat_by - day.date).days <= 3


def test_rice_is_never_kept_longer_than_a_day_in_the_fridge(batches):
    # source: published (UK Food Standards Agency: cooked rice no more than one day)
    for _, plan, batch in batches:
        for day in plan.days:
            for meal in day.meals:
                if meal.leftover_from is None or (day.date - meal.leftover_from).days <= 1:
                    continue
                if not any(is_rice(s.food) for s in meal.servings):
                    continue
                cook = next(d for d in batch.days if d.date == meal.leftover_from)
                cooking = next(c for c in cook.cookings if c.dish == meal.dish)
                box = next(b for b in cooking.boxes if b.eaten_on == day.date)
                assert box.boil_fresh or box.keep_in == "freezer"


def test_dried_beans_are_soaked_the_evening_before(batches):
    for _, _, batch in batches:
        evenings = {batch.start - dt.timedelta(days=1): batch.evening_before}
        evenings |= {day.date: day.tonight for day in batch.days}
        for day in batch.days:
            for boil in day.boils:
                if boil.soak_hours:
                    before = " ".join(evenings[day.date - dt.timedelta(days=1)]).lower()
                    assert f"{boil.dry_g:.0f} g" in before
                    assert "soak" in before


def test_soaked_dishes_begin_the_evening_before(batches):
    for _, plan, batch in batches:
        evenings = {batch.start - dt.timedelta(days=1): batch.evening_before}
        evenings |= {day.date: day.tonight for day in batch.days}
        for day in plan.days:
            for meal in day.meals:
                if meal.soak_night_before:
                    text = " ".join(evenings[day.date - dt.timedelta(days=1)])
                    assert meal.name in text


def test_work_is_listed_in_the_order_of_the_clock(batches):
    for _, _, batch in batches:
        for day in batch.days:
            clocks = [step.clock for step in day.order]
            assert clocks == sorted(clocks)


def test_hands_on_minutes_add_up(batches):
    # source: worked by hand (dishes and boxes; apart from them ten or five minutes a pot of pulses)
    for _, plan, batch in batches:
        for planned, day in zip(plan.days, batch.days, strict=True):
            parts = sum(c.hands_on_min for c in day.cookings) + sum(k.minutes for k in day.kept)
            assert day.hands_on_min == parts == planned.hands_on_min
            assert day.ahead_min == sum(boil.hands_on_min for boil in day.boils)


def test_measuring_by_spoons_costs_under_three_percent_of_the_day(weeks):
    # source: common practice (limit set for kitchens without scales)
    for _, plan in weeks:
        for day in plan.days:
            for units in ("metric", "us"):
                assert measuring_error_kcal(day, units) < 0.03 * day.energy_kcal


def test_plates_and_boxes_share_the_pot_by_portion(weeks):
    intake, plan = weeks[0]
    alone = intake.model_copy(update={"kitchen": intake.kitchen.model_copy(update={"people": 1})})
    options = ShopOptions(eaters=(Eater(label="partner", portion=0.5),))
    batch = batch_plan(plan, alone, options)
    cooking = next(c for day in batch.days for c in day.cookings if not c.boxes)
    # source: worked by hand (1 and 0.5 portions: 67 and 33 %)
    assert [plate.split(" %")[0] for plate in cooking.plates] == ["client: 67", "partner: 33"]


@pytest.mark.parametrize("people", [5, 12])
def test_batches_larger_than_the_pan_are_cooked_in_rounds(weeks, people):
    intake, plan = weeks[0]
    kitchen = intake.kitchen.model_copy(update={"people": people})
    crowd = intake.model_copy(update={"kitchen": kitchen})
    dishes = {dish.key: dish for dish in load_dishes()}
    for day in batch_plan(plan, crowd).days:
        for cooking in day.cookings:
            most = dishes[cooking.dish].batch_portions
            # source: worked by hand (the fewest rounds that hold every portion)
            assert (cooking.rounds - 1) * most < cooking.portions <= cooking.rounds * most


def amount(called, measure, start_from=""):
    return Amount(
        food="x", called=called, grams=1, measure=measure, phrase="", measured_g=1,
        start_from=start_from,
    )  # fmt: skip


# source: worked by hand
@pytest.mark.parametrize(
    ("steps", "amounts", "expected"),
    [
        (
            ("Fry the onion in half the oil.", "Add the rest of the oil."),
            (amount("oil", "2 tbsp"), amount("onion", "½ medium onion")),
            (
                "Fry the onion (½ medium) in half the oil (2 tbsp in all).",
                "Add the rest of the oil.",
            ),
        ),
        (
            ("Toss the rice noodles with rice.",),
            (amount("rice", "1 cup"), amount("rice noodles", "2 cups")),
            ("Toss the rice noodles (2 cups) with rice (1 cup).",),
        ),
        (
            ("Boil the pasta.",),
            (amount("pasta", "4½ cups", "227 g dry, about 2½ cups"),),
            ("Boil the pasta (4½ cups cooked: 227 g dry, about 2½ cups).",),
        ),
    ],
)
def test_amounts_stand_at_the_first_mention_of_each_food(steps, amounts, expected):
    assert scaled_method(steps, amounts) == expected


def test_every_amount_appears_in_the_method(batches):
    for _, _, batch in batches:
        for day in batch.days:
            for cooking in day.cookings:
                text = " ".join((*cooking.evening, *cooking.method))
                for item in cooking.amounts:
                    starts = {item.measure.split()[0], item.start_from.split(" ")[0]} - {""}
                    shares = re.search(rf"(half|of|rest of) the {item.called} \(", text)
                    said = any(f"({start}" in text for start in starts)
                    assert said or shares, (cooking.dish, item.called)


class TestFoodSafety:
    def test_boiling_hard_is_said_for_dried_beans_and_not_for_cans(self):
        # source: published (US FDA, Bad Bug Book 2nd ed.: soak 5 h, boil 30 min)
        dried = advice_for(["kidney_beans_red_cooked"], "dry")
        assert any("5 hours" in a.text and "30 minutes" in a.text for a in dried)
        assert advice_for(["kidney_beans_canned"], "dry") == ()

    def test_dried_kidney_beans_boil_longer_than_the_agency_asks(self):
        # source: published (US FDA, Bad Bug Book 2nd ed.: 30 min)
        row = boiling_of(CATALOGUE.food("kidney_beans_red_cooked"))
        assert row.boil_min >= row.hard_boil_min >= 30
        assert row.soak_hours >= 5

    def test_rice_keeps_one_day(self):
        # source: published (UK Food Standards Agency)
        assert keeping("rice").fridge_days == 1

    @pytest.mark.parametrize("advice", all_advice(), ids=lambda a: a.key)
    def test_every_advice_names_known_foods_and_a_source(self, advice):
        assert advice.source
        assert advice.foods or advice.groups
        for key in advice.foods:
            assert key in CATALOGUE

    def test_flour_and_sprouts_and_seaweed_and_brazil_nuts_are_covered(self):
        for key in ("flour_white", "mung_sprouts_cooked", "nori", "brazil_nuts"):
            assert advice_for([key], "cook")

    def test_a_plain_dish_carries_no_advice(self):
        assert advice_for(["tofu_firm_calcium", "carrots_cooked", "canola_oil"], "cook") == ()

    def test_general_advice_is_shown_once_a_week(self, batches):
        for _, _, batch in batches:
            texts = [
                caution.text
                for day in batch.days
                for part in (*day.cookings, *day.kept)
                for caution in part.cautions
            ]
            assert sum("shallow" in text for text in texts) <= 1
            assert sum("Reheat once" in text for text in texts) <= 1


def test_every_boiling_row_is_a_food_bought_in_another_state():
    for key in boiling_table():
        food = CATALOGUE.food(key)
        assert food.state in ("boiled", "baked", "steamed")
        assert food.bought_name != food.name


def test_a_shared_table_with_an_allergy_is_warned_of_cross_contact(weeks):
    intake, plan = weeks[0]
    shared = intake.model_copy(
        update={
            "kitchen": intake.kitchen.model_copy(update={"people": 2}),
            "tastes": intake.tastes.model_copy(update={"allergies": ("sesame",)}),
        }
    )
    assert any("allergy" in caution.text for caution in batch_plan(plan, shared).cautions)


def test_the_shares_of_a_pot_add_up_to_all_of_it(batches):
    # source: worked by hand (plates and boxes together are the pot; whole percents)
    for _, _, batch in batches:
        for day in batch.days:
            for cooking in day.cookings:
                if not cooking.boxes or any(b.measured_out for b in cooking.boxes):
                    continue
                if any(" with " in plate for plate in cooking.plates):
                    continue
                now = sum(int(p.split(" %")[0].split()[-1]) for p in cooking.plates)
                later = sum(box.percent_of_pot for box in cooking.boxes)
                assert now + later == pytest.approx(100, abs=0.5 * cooking.portions + 0.5)


def test_what_is_boiled_is_what_the_pots_need(batches):
    # source: worked by hand (each boil recomputed from the amounts of the dishes it names)
    for _, _, batch in batches:
        for day in batch.days:
            for boil in day.boils:
                dates = {day.date, *boil.also_for}
                needed = sum(
                    item.grams
                    for other in batch.days
                    if other.date in dates
                    for cooking in other.cookings
                    if cooking.name in boil.dishes
                    for item in cooking.amounts
                    if item.food == boil.food
                )
                assert boil.cooked_g == pytest.approx(needed, abs=0.2 * len(dates))


def test_boils_are_ready_before_their_dish_is_served(batches):
    for _, _, batch in batches:
        for day in batch.days:
            served = {cooking.name: cooking.serve for cooking in day.cookings}
            for boil in day.boils:
                first = min(served[name] for name in boil.dishes if name in served)
                starts = [
                    step.clock
                    for step in day.order
                    if boil.name.lower() in step.text.lower() and "Start" not in step.text
                ]
                assert all(start < first for start in starts[:1])


def test_potatoes_are_bought_by_what_boiling_and_peeling_leave():
    # source: worked by hand (200 g boiled from 290 g as bought: yield 0.921, 25 % peel)
    assert CATALOGUE.food("potato_boiled").bought_g(200) == pytest.approx(
        200 / 0.921 / 0.75, rel=1e-3
    )


def test_a_shipped_dish_cooks_all_but_its_pulses_itself(weeks, put_in, batches):
    intake, plan = weeks[0]
    simmered = [
        dish for dish in load_dishes() if "chickpeas_cooked" in {x.food for x in dish.lines}
    ]
    tried = [batch_plan(put_in(plan, dish), intake) for dish in simmered[:6]]
    sheets = [*tried, *(batch for _, _, batch in batches)]
    kinds = {boil.kind for batch in sheets for day in batch.days for boil in day.boils}
    assert kinds == {"pulse"}


def test_what_was_eaten_instead_is_neither_bought_nor_cooked(weeks):
    intake, plan = weeks[0]
    first = plan.days[0]
    slot = next(n for n, meal in enumerate(first.meals) if meal.cook_portions == 1)
    eaten = first.meals[slot].model_copy(update={"dish": "eaten", "name": "Something else"})
    meals = (*first.meals[:slot], eaten, *first.meals[slot + 1 :])
    changed = plan.model_copy(
        update={"days": (first.model_copy(update={"meals": meals}), *plan.days[1:])}
    )
    assert (
        len(batch_plan(changed, intake).days[0].cookings)
        == len(batch_plan(plan, intake).days[0].cookings) - 1
    )
    before = sum(line.need_g for line in shopping_list(plan, intake).lines)
    assert sum(line.need_g for line in shopping_list(changed, intake).lines) < before


def test_a_plan_of_other_dishes_says_which_dish_is_missing(weeks):
    intake, plan = weeks[0]
    with pytest.raises(IntakeError, match="not among the dishes given"):
        batch_plan(plan, intake, dishes=())


def test_sheet_in_words_names_every_dish_and_fits_the_page(batches):
    for _, plan, batch in batches:
        text = batch_text(batch)
        assert max(len(line) for line in text.splitlines()) <= 110
        for day in plan.days:
            for meal in day.meals:
                assert meal.name in " ".join(text.split())


def with_fuel(plan, intake, time):
    """Put two hours of riding into a plan's second day, as the menu writes it."""
    ride = FuelItem(
        when="during",
        session="Cycling",
        time=time,
        minutes=120,
        carbohydrate_low_g=60,
        carbohydrate_aim_g=90,
        carbohydrate_high_g=120,
        fluid_low_ml=800,
        fluid_high_ml=1600,
        sodium_mg_per_l=500,
    )
    space = FoodSpace.load()
    fuel = fuel_foods([ride], space, frozenset(food.key for food in space.foods))
    day = plan.days[1].model_copy(
        update={"around_sessions": fuel.told, "fuel_g": fuel.grams, "packs": fuel.packs}
    )
    return plan.model_copy(update={"days": (plan.days[0], day, *plan.days[2:])})


def test_bottles_and_food_to_take_along_stand_on_the_sheet_the_menu_and_the_list(weeks):
    # source: worked by hand (the same grams on all three; ready a quarter of an hour before)
    intake, plan = weeks[0]
    trained = with_fuel(plan, intake, "17:00")
    batch = batch_plan(trained, intake)
    day = batch.days[1]
    [pack] = day.packs
    assert pack.clock == "17:00"
    assert [step.clock for step in day.order if "Take along to cycling" in step.text] == ["16:45"]
    written = batch_text(batch)
    bought = {line.name for line in shopping_list(trained, intake).lines}
    for food in trained.days[1].packs[0].foods:
        assert food.phrase in pack.text
        assert f"{food.grams:,.0f} g {food.name.lower()}" in trained.days[1].around_sessions[0]
        assert " ".join(food.phrase.split()) in " ".join(written.split())
        assert CATALOGUE.food(food.food).bought_name in bought
    assert not any("bottles" in line for one in batch.days for line in one.tonight)


def test_bottles_for_an_early_session_are_mixed_the_evening_before(weeks):
    # source: common practice
    intake, plan = weeks[0]
    batch = batch_plan(with_fuel(plan, intake, "06:00"), intake)
    assert any("Mix the bottles" in line for line in batch.days[0].tonight)
