"""Forty varied clients, a week each: what holds, what is missed, what a cook would find odd."""

from __future__ import annotations

from collections import Counter
from itertools import product

import numpy as np
import pytest

from foods.composition.catalogue import Catalogue
from mealplan.client.read import parse_intake
from mealplan.menu.context import Context
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.targets.make import make_targets

pytestmark = pytest.mark.study

BODIES = (
    ("male", 24, 178, 74, 2.0, "gain"),
    ("male", 45, 185, 92, 1.7, "hold"),
    ("male", 33, 172, 68, 2.2, "endurance"),
    ("male", 29, 181, 88, 1.8, "cut"),
    ("female", 27, 166, 60, 1.8, "hold"),
    ("female", 38, 171, 72, 1.7, "cut"),
    ("female", 31, 160, 54, 2.1, "endurance"),
    ("female", 52, 168, 64, 1.7, "gain"),
)
TASTES = (
    {},
    {"allergies": ["soy"]},
    {"allergies": ["gluten"]},
    {"allergies": ["tree_nut", "peanut", "sesame"]},
    {"allergies": ["soy", "gluten", "tree_nut"], "dislikes": ["mushrooms"], "heat_max": 1},
)


def clients():
    for number, ((sex, age, height, weight, pal, phase), tastes) in enumerate(
        product(BODIES, TASTES)
    ):
        yield {
            "role": f"club member {number + 1}",
            "sex": sex,
            "age_years": age,
            "height_cm": height,
            "weight_kg": weight,
            "start": "2026-11-30",
            "goal": {"phase": phase},
            "activity": {"method": "multiplier", "pal": pal},
            "tastes": tastes,
            "kitchen": {"meals": 3 + number % 4},
            "seed": number + 1,
        }


def test_forty_clients_get_weeks_that_hold(capsys):
    rows, oddest, faults = [], [], []
    for data in clients():
        intake = parse_intake(data)
        targets = make_targets(intake)
        plan = make_plan(intake, targets)
        context = Context.make(intake, targets)
        faults += verify_plan(plan, targets, context.exclusions.foods, context.by_key)
        must, wish = Counter(), Counter()
        off = []
        for day in plan.days:
            off.append(abs(day.energy_kcal / day.energy_target_kcal - 1))
            for line in day.missed:
                (must if line.priority == "must" else wish)[line.label] += 1
        servings = [
            (serving, meal) for day in plan.days for meal in day.meals for serving in meal.servings
        ]
        dishes = {meal.dish for day in plan.days for meal in day.meals}
        foods = {serving.food for serving, _ in servings}
        largest = max(servings, key=lambda pair: pair[0].grams if pair[0].food != "water" else 0)
        catalogue = Catalogue.load()
        for serving, meal in servings:
            line = next(x for x in context.by_key[meal.dish].lines if x.food == serving.food)
            if catalogue.food(serving.food).role not in ("flavour", "liquid"):
                oddest.append((serving.grams / line.typical_g, serving.phrase, meal.name))
        rows.append(
            f"| {intake.sex} {intake.weight_kg:.0f} kg, {intake.goal.phase}, "
            f"{', '.join(data['tastes'].get('allergies', [])) or 'no allergy'} "
            f"| {plan.days[0].energy_target_kcal:,.0f} | {max(off):.2%} "
            f"| {'; '.join(f'{k} ×{n}' for k, n in must.items()) or 'none'} "
            f"| {'; '.join(f'{k} ×{n}' for k, n in wish.items()) or 'none'} "
            f"| {len(dishes)} | {len(foods)} | {largest[0].phrase} "
            f"| {np.mean([day.hands_on_min for day in plan.days]):.0f} |"
        )
    oddest.sort(key=lambda item: -item[0])
    seen: dict[str, tuple[float, str, str]] = {}
    for item in oddest:
        seen.setdefault(item[2], item)
    with capsys.disabled():
        print(
            "\n| client | kcal | energy off | musts missed | wishes missed | dishes | foods "
            "| largest amount | min/day |\n| - | - | - | - | - | - | - | - | - |"
        )
        print("\n".join(rows))
        print("\nTen largest against the recipe's usual amount:")
        for ratio, phrase, name in list(seen.values())[:10]:
            print(f"- {ratio:.1f} ×: {phrase} in {name}")
    assert faults == []
