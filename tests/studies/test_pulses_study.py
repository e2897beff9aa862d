"""
Two hundred drawn clients: no printed line lets a pulse be eaten under-boiled.

Run in pieces: ``PULSE_CLIENTS=0:50 pytest -n 0 -m study tests/studies/test_pulses_study.py``. Every
client buys pulses dry, so that each one eaten is soaked and boiled at home.
"""

from __future__ import annotations

import os

import pytest

from foods.dishes.load import load_dishes
from mealplan.cooking.sheet import batch_plan
from mealplan.errors import NoPlanError, SafetyRefusal
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets
from tests.mealplan.shopping.conftest import random_intake
from tests.mealplan.shopping.test_pulses import (
    DRIED,
    LECTIN_SOAK_H,
    is_lectin,
    method_boils,
    printed,
    says_enough,
)

FIRST, LAST = (int(part) for part in os.environ.get("PULSE_CLIENTS", "0:200").split(":"))
DAYS = int(os.environ.get("PULSE_DAYS", "2"))
DISHES = {dish.key: dish for dish in load_dishes()}
KEYS = {food.key for food in DRIED}


@pytest.mark.study
def test_no_drawn_client_is_told_to_eat_a_pulse_under_boiled():
    clients = boils = 0
    for seed in range(FIRST, LAST):
        intake = random_intake(70_000 + seed)
        dry = intake.kitchen.shop.model_copy(update={"pulses": "dry"})
        kitchen = intake.kitchen.model_copy(update={"shop": dry})
        intake = intake.model_copy(update={"kitchen": kitchen})
        try:
            plan = make_plan(intake, make_targets(intake), days=DAYS)
        except (NoPlanError, SafetyRefusal):
            continue
        clients += 1
        boils += check(intake, plan)
    print(f"{clients} clients x {DAYS} days, {boils} boils, none short")
    assert boils >= clients // 10


def check(intake, plan):
    """Read every printed line about each dried pulse of a plan; give how many boils there were."""
    batch = batch_plan(plan, intake)
    lines = printed(batch)
    planned = {boil.food: boil for day in batch.days for boil in day.boils}
    for day in plan.days:
        for meal in day.meals:
            dish = DISHES[meal.dish]
            for serving in meal.servings:
                if serving.food not in KEYS:
                    continue
                if serving.food in dish.cooks_from_dry:
                    assert method_boils(dish, serving.called, serving.food), (dish.key, serving)
                    continue
                boil = planned[serving.food]
                about = [line for line in lines if boil.name.lower() in line.lower()]
                orders = [line for line in about if "boil" in line.lower()]
                assert any(says_enough(line, serving.food) for line in orders), orders
                if is_lectin(serving.food):
                    assert any(f"at least {h} hours" in line for line in about for h in range(
                        LECTIN_SOAK_H, 25)), about  # fmt: skip
    return len(planned)
