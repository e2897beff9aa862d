"""What a week costs, and the swap that saves without missing a target."""

import pytest

from foods.composition.catalogue import Catalogue
from mealplan.menu.cost_and_swaps import cheapest_swap, week_cost
from mealplan.shopping.door import PriceList, demo_prices, shopping_list
from mealplan.targets.make import make_targets

CATALOGUE = Catalogue.load()


@pytest.fixture(scope="module")
def prices():
    return demo_prices()


def test_week_cost_is_the_sum_of_the_lines(week, prices):
    intake, plan = week
    cost = week_cost(plan, intake, prices)
    lines = shopping_list(plan, intake, prices=prices).to_buy
    assert cost.paid == pytest.approx(sum(line.price for line in lines))
    assert cost.unpriced == ()


def test_packs_cost_at_least_what_is_eaten_of_them(week, prices):
    cost = week_cost(week[1], week[0], prices)
    assert cost.paid + cost.staples >= cost.eaten


def test_cost_of_protein_is_worth_over_protein(week, prices):
    # source: worked by hand (the same week added up from servings and the price list)
    intake, plan = week
    cost = week_cost(plan, intake, prices)
    protein_g = sum(meal.protein_g for day in plan.days for meal in day.meals)
    protein_g *= intake.kitchen.people
    assert cost.per_100g_protein == pytest.approx(100 * cost.eaten / protein_g, rel=0.01)


def test_a_food_without_a_price_is_named_and_never_free(week, prices):
    intake, plan = week
    keys = [s.food for day in plan.days for meal in day.meals for s in meal.servings]
    key = max(
        (key for key in keys if key != "water"),
        key=lambda k: sum(
            s.energy_kcal for d in plan.days for m in d.meals for s in m.servings if s.food == k
        ),
    )
    name = CATALOGUE.food(key).bought_name
    rest = {bought: packs for bought, packs in prices.by_name.items() if bought != name}
    cost = week_cost(plan, intake, PriceList(rest, "EUR"))
    assert name in cost.unpriced
    assert cost.unpriced_energy_share > 0
    assert cost.eaten < week_cost(plan, intake, prices).eaten


def test_doubling_every_price_doubles_the_week(week, prices):
    intake, plan = week
    double = PriceList(
        {name: {s: 2 * p for s, p in packs.items()} for name, packs in prices.by_name.items()},
        "EUR",
    )
    once, twice = (week_cost(plan, intake, x) for x in (prices, double))
    assert twice.paid == pytest.approx(2 * once.paid, rel=3e-4)  # each line rounds to a cent
    assert twice.eaten == pytest.approx(2 * once.eaten, rel=3e-4)


def test_a_swap_saves_money_and_misses_nothing_more(weeks, prices):
    found = 0
    for intake, plan in weeks[:2]:
        swap = cheapest_swap(plan, intake, make_targets(intake), prices)
        if swap is None:
            continue
        found += 1
        before = week_cost(plan, intake, prices)
        after = week_cost(swap.plan, intake, prices)
        assert before.eaten - after.eaten == pytest.approx(swap.saves_eaten, abs=0.05)
        assert swap.saves_eaten > 0
        was = {(d.date, x.key) for d in plan.days for x in d.missed if x.priority == "must"}
        now = {(d.date, x.key) for d in swap.plan.days for x in d.missed if x.priority == "must"}
        assert now <= was
    assert found


def test_demo_prices_are_said_to_be_invented(week, prices):
    assert "invented" in week_cost(week[1], week[0], prices).note
