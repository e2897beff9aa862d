"""The larder chosen for a week, against every larder there could be where those are few."""

from dataclasses import replace
from itertools import combinations

import numpy as np
import pytest

from mealplan.lp.daymodel import Choice, DayModel
from mealplan.lp.larder import OVER_LIMIT, LarderLP, ThingPool, choose_larder
from mealplan.rules.rows.base import Row, Slot

FOODS = 8
PRICE = 0.03


def a_choice(name, foods, grams, rng):
    grams = np.array(grams, dtype=float)
    return Choice(
        dish=name,
        foods=np.array(foods, dtype=np.int64),
        low=grams * 0.5,
        typical=grams,
        high=grams * 1.5,
        step=np.ones(len(foods)),
        optional=np.zeros(len(foods), dtype=bool),
        cost=float(rng.uniform(0.02, 0.08)),
        deviation=np.full(len(foods), 1e-5),
    )


def a_week(seed):
    """Two meals, ten dishes of two or three of eight foods, three nutrients with floors."""
    rng = np.random.default_rng(seed)
    dishes = []
    for number in range(10):
        size = int(rng.integers(2, 4))
        foods = sorted(rng.choice(FOODS, size=size, replace=False).tolist())
        dishes.append(a_choice(f"dish-{number}", foods, rng.uniform(60, 200, size), rng))
    per_gram = rng.uniform(0.0, 0.1, (3, FOODS))
    rows = tuple(
        Row(
            name=f"nutrient-{place}",
            label="nutrient",
            unit="mg",
            per_gram=per_gram[place],
            low=30.0,
            high=np.inf,
            price_low=12.0 / 30.0,
            price_high=0.0,
            tier="floor",
            why="",
        )
        for place in range(3)
    )
    slots = (
        Slot(0, "midday", "Midday", "12:00", 0.5),
        Slot(1, "evening", "Evening", "19:00", 0.5),
    )
    model = DayModel(rows, slots, (tuple(dishes[:6]), tuple(dishes[4:])), np.full(FOODS, np.inf))
    needs = tuple(
        np.array([[food in choice.foods for food in range(FOODS)] for choice in offer])
        for offer in model.offers
    )
    lines = tuple(np.concatenate([c.foods for c in offer]) for offer in model.offers)
    often = {choice.dish: 0.5 for choice in dishes}
    wanted = tuple(np.zeros((len(offer), 0)) for offer in model.offers)
    return model, ThingPool(needs, lines, np.zeros(FOODS, dtype=np.int64), often, wanted)


@pytest.mark.parametrize("seed", range(6))
def test_no_larder_of_few_things_is_clearly_better(seed):
    # source: worked by hand (all 255 larders tried)
    model, pool = a_week(seed)
    most = {0: 5}
    lp = LarderLP(model, pool)
    price = PRICE * np.random.default_rng(seed).uniform(1, 3, FOODS)
    best = np.inf
    for size in range(1, FOODS + 1):
        for things in combinations(range(FOODS), size):
            allowed = np.zeros(FOODS, dtype=bool)
            allowed[list(things)] = True
            value, _, _ = lp.value(allowed, rounds=40)
            paid = price[allowed].sum() + OVER_LIMIT * max(0, size - most[0])
            best = min(best, value + paid)
    found = choose_larder(model, pool, most, price, seed=1)
    size = int(found.things.sum())
    value, _, _ = lp.value(found.things, rounds=40)
    score = value + price[found.things].sum() + OVER_LIMIT * max(0, size - most[0])
    assert score <= best * 1.03 + 1e-6


@pytest.mark.parametrize("seed", range(6))
def test_nothing_beats_the_bound(seed):
    model, pool = a_week(seed)
    found = choose_larder(model, pool, {0: 4}, np.full(FOODS, PRICE), seed=1)
    assert found.value >= found.bound - 1e-6


@pytest.mark.parametrize("seed", range(3))
def test_more_to_buy_never_makes_the_blend_dearer(seed):
    model, pool = a_week(seed)
    lp = LarderLP(model, pool)
    some = np.arange(FOODS) < 6
    fewer, _, _ = lp.value(some, rounds=40)
    every, _, _ = lp.value(np.ones(FOODS, dtype=bool), rounds=40)
    assert every <= fewer * 1.005 + 1e-6


def test_where_all_is_at_home_nothing_is_bought():
    model, pool = a_week(1)
    home = replace(pool, thing_of_line=tuple(np.full_like(of, -1) for of in pool.thing_of_line))
    home = replace(home, needs=tuple(np.zeros_like(needs) for needs in pool.needs))
    found = choose_larder(model, home, {0: 4}, np.full(FOODS, PRICE), seed=1)
    assert not found.things.any()
    assert found.value >= found.bound - 1e-9
