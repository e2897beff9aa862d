"""A day from what is at home: what is there, what is left to other days, what must be fetched."""

from __future__ import annotations

import datetime as dt

import numpy as np
import pytest

from mealplan.client.read import parse_intake
from mealplan.menu.change import DayRequest, Eaten, change_day
from mealplan.menu.context import Context
from mealplan.menu.verify import verify_plan
from mealplan.shopping.door import shopping_list
from mealplan.shopping.left_over import WORTH_KEEPING_G
from mealplan.shopping.stock import stock_on


def grams_of(plan, place):
    """Grams cooked fresh on a day, by catalogue key."""
    grams = {}
    for meal in plan.days[place].meals:
        if meal.leftover_from is None:
            for serving in meal.servings:
                grams[serving.food] = grams.get(serving.food, 0.0) + serving.grams
    return grams


def taken(pool, space, grams):
    return sum(pool.takes[space.index[key]] * amount for key, amount in grams.items())


def test_what_a_day_needs_and_was_bought_before_is_at_home_on_it(case):
    space = case.context.space
    bought_later = {
        line.name
        for line in shopping_list(case.plan, case.intake).lines
        if line.trip_on and line.trip_on > case.plan.start
    }
    for place in (2, 4):
        date = case.plan.days[place].date
        stock = stock_on(case.plan, case.intake, date, space)
        there = {pool.name: pool for pool in stock.pools}
        for key, amount in grams_of(case.plan, place).items():
            food = space.foods[space.index[key]]
            if np.isinf(stock.most_g[space.index[key]]) or food.bought_name in bought_later:
                continue
            pool = there[food.bought_name]
            assert pool.grams >= pool.takes[space.index[key]] * amount - 1.5, key


def test_what_other_days_need_is_left_to_them(case):
    space = case.context.space
    date = case.plan.days[3].date
    lines = shopping_list(case.plan, case.intake).lines
    for pool in stock_on(case.plan, case.intake, date, space).pools:
        bought = sum(li.buy_g + li.from_cupboard_g for li in lines if li.name == pool.name)
        needed = sum(
            use.need_g for li in lines if li.name == pool.name for use in li.uses if use.day != date
        )
        later = any(li.trip_on and li.trip_on >= date for li in lines if li.name == pool.name)
        assert pool.grams <= bought - needed + 1.0 or later


@pytest.mark.parametrize("place", [2, 5])
def test_a_day_from_home_takes_no_more_than_is_there_and_holds_its_targets(case, place):
    date = case.plan.days[place].date
    changed = change_day(
        case.intake, case.targets, case.plan, DayRequest(date, from_home=True), context=case.context
    )
    assert not verify_plan(
        changed.plan, case.targets, case.context.exclusions.foods, case.context.by_key
    )
    space = case.context.space
    stock = stock_on(case.plan, case.intake, date, space)
    grams = grams_of(changed.plan, place)
    over = [p.name for p in stock.pools if taken(p, space, grams) > p.grams + WORTH_KEEPING_G]
    absent = [key for key in grams if stock.most_g[space.index[key]] == 0]
    said = " ".join(changed.sentences)
    assert ("can be cooked from what is at home" in said) == (not over and not absent)
    assert "at home" in said


def test_a_meal_eaten_out_leaves_its_food_at_home(case):
    day, missed = next(
        (day, meal) for day in case.plan.days[:-1] for meal in day.meals if meal.cook_portions == 1
    )
    date = day.date
    out = change_day(
        case.intake,
        case.targets,
        case.plan,
        DayRequest(date, eaten={missed.slot: Eaten("canteen", {}, 800.0)}),
        context=case.context,
    ).plan
    space = case.context.space
    morning = date + dt.timedelta(days=1)
    before = stock_on(case.plan, case.intake, morning, space)
    after = stock_on(out, case.intake, morning, space, case.plan)
    there = {pool.name: pool.grams for pool in before.pools}
    gained = [p.name for p in after.pools if p.grams > there.get(p.name, 0.0) + 1.0]
    lines = {space.foods[space.index[s.food]].bought_name for s in missed.servings}
    assert set(gained) & lines


def test_before_anything_is_bought_only_the_cupboard_is_there(case):
    stock = stock_on(case.plan, case.intake, case.plan.start, case.context.space)
    assert stock.pools == ()
    data = case.intake.model_dump(mode="json")
    data["kitchen"]["cupboard"] = [{"food": "rice_brown_medium_cooked", "grams": 500}]
    stocked = stock_on(case.plan, parse_intake(data), case.plan.start, case.context.space)
    assert [pool.grams for pool in stocked.pools] == [500]


def test_lines_that_are_not_at_home_cost_and_add_ons_fall_away(case):
    context: Context = case.context
    stock = stock_on(case.plan, case.intake, case.plan.start, context.space)
    for choice in context.choices(context.targets.days[0])[1][:40]:
        held = stock.held_to(choice)
        lacking = stock.lacking(choice)
        assert held.cost == pytest.approx(choice.cost + 0.5 * len(lacking))
        absent = stock.most_g[held.foods] == 0
        assert not (absent & held.optional).any()
        assert (held.low <= held.typical).all()
        assert (held.typical <= held.high).all()


def test_a_cupboard_food_that_two_trips_draw_on_is_counted_once(case):
    lines = shopping_list(case.plan, case.intake).lines
    names = [line.name for line in lines]
    twice = next((line for line in lines if names.count(line.name) > 1), None)
    if twice is None:
        pytest.skip("nothing is bought on two trips this week")
    data = case.intake.model_dump(mode="json")
    data["kitchen"]["cupboard"] = [{"food": twice.bought, "grams": 20_000}]
    stocked = parse_intake(data)
    date = case.plan.days[3].date
    pools = {p.name: p.grams for p in stock_on(case.plan, stocked, date, case.context.space).pools}
    needed = sum(use.need_g for line in lines if line.name == twice.name for use in line.uses)
    # source: worked by hand (what is there, less what the week takes, but for this very day)
    on_the_day = sum(
        use.need_g
        for line in lines
        if line.name == twice.name
        for use in line.uses
        if use.day == date
    )
    assert pools[twice.name] == pytest.approx(20_000 - needed + on_the_day, abs=3)
