"""Small made-up days for solver tests, and days of invented clients over the shipped dishes."""

from __future__ import annotations

import math
from collections.abc import Callable, Container
from dataclasses import replace

import numpy as np
import pytest

from mealplan.client.read import parse_intake
from mealplan.lp.daymodel import Choice, DayModel
from mealplan.menu.context import Context
from mealplan.menu.day import day_model
from mealplan.rules.rows.base import Row, Slot
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import DayTargets, Targets


def random_choice(rng: np.random.Generator, dish: str, foods: int, *, ratios: bool) -> Choice:
    """One dish of two to five foods on a grid, its last line sometimes an add-on."""
    count = int(rng.integers(2, min(5, foods) + 1))
    steps = rng.integers(1, 4, count).astype(float) * 10
    typical = rng.integers(2, 6, count)
    low = np.maximum(1, typical - rng.integers(0, 3, count))
    high = typical + rng.integers(0, 4, count)
    optional = np.zeros(count, dtype=bool)
    optional[-1] = rng.random() < 0.5
    grams = typical * steps
    kept = ()
    if ratios and not optional[:2].any() and rng.random() < 0.7:
        usual = float(grams[0] / grams[1])
        kept = ((0, 1, usual * 0.7, usual * 1.4),)
    return Choice(
        dish=dish,
        foods=rng.permutation(foods)[:count].astype(np.int64),
        low=low * steps,
        typical=grams,
        high=high * steps,
        step=steps,
        optional=optional,
        cost=float(rng.random() * 0.3),
        deviation=rng.random(count) * 0.002,
        near=steps * rng.integers(0, 3, count),
        far=rng.random(count) * 0.01,
        ratios=kept,
    )


def random_row(rng: np.random.Generator, number: int, foods: int, slots: int) -> Row:
    """A floor, a ceiling or a band, of the whole day or of one meal."""
    per_gram = rng.random(foods) * (rng.random(foods) < 0.8)
    usual = float(per_gram.mean()) * 90 * 3
    kind = number % 3
    meal = (int(rng.integers(slots)),) if number >= 4 and rng.random() < 0.4 else None
    usual *= slots if meal is None else 1
    price = float(rng.integers(1, 50)) / max(usual, 1.0)
    return Row(
        name=f"row{number}",
        label=f"Row {number}",
        unit="g",
        per_gram=per_gram,
        low=-math.inf if kind == 1 else usual * float(rng.uniform(0.7, 1.3)),
        high=math.inf if kind == 0 else usual * float(rng.uniform(1.3, 1.6)),
        price_low=price,
        price_high=price * 0.7,
        tier="floor",
        why=f"row {number} is wanted",
        slots=meal,
        base=float(rng.integers(0, 2)) * 0.05 * usual,
    )


def make_model(
    seed: int,
    *,
    foods: int = 9,
    rows: int = 7,
    slots: int = 3,
    dishes: int = 4,
    ratios: bool = True,
    ceilings: bool = True,
    shared: bool = True,
    families: bool = False,
) -> DayModel:
    """
    Make a random day.

    ``shared`` lets the last two meals offer the same dishes, so that serving one twice is barred.
    """
    rng = np.random.default_rng(seed)
    offers = []
    for slot in range(slots):
        named = slots - 2 if shared and slot == slots - 1 else slot
        own = np.random.default_rng([seed, named])
        offers.append(
            tuple(
                random_choice(own, f"dish{named}-{n}", foods, ratios=ratios) for n in range(dishes)
            )
        )
        if families:
            offers[-1] = tuple(
                replace(choice, families=frozenset(own.choice(["a", "b", "c"], 2)))
                for choice in offers[-1]
            )
    # A ceiling lets one and a half of the largest line through: it binds where meals share a food.
    most = np.zeros(foods)
    for offer in offers:
        for choice in offer:
            np.maximum.at(most, choice.foods, choice.high)
    return DayModel(
        rows=tuple(random_row(rng, number, foods, slots) for number in range(rows)),
        slots=tuple(
            Slot(i, "small", f"Meal {i}", f"{8 + i:02d}:00", 1 / slots) for i in range(slots)
        ),
        offers=tuple(offers),
        food_ceiling_g=1.5 * most if ceilings else np.full(foods, np.inf),
        family_price=0.2 if families else 0.0,
    )


@pytest.fixture(scope="session")
def random_day() -> Callable[..., DayModel]:
    """Give the maker of random days."""
    return make_model


MAN = {"sex": "male", "age_years": 28, "height_cm": 180, "weight_kg": 80}
WOMAN = {"sex": "female", "age_years": 30, "height_cm": 165, "weight_kg": 60}


def make_client_day(*, kcal: float, person: dict | None = None, **fields: object) -> DayModel:
    """Make the first day of a client who holds weight on this energy."""
    intake = parse_intake(
        {
            "role": "club lifter",
            **(person or MAN),
            "start": "2026-11-30",
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": 1.7},
            **fields,
        }
    )
    targets = on_energy(make_targets(intake), kcal, intake.nutrition.bounds)
    model, _ = day_model(Context.make(intake, targets), 0, targets.on("mon"), {})
    return model


FOLLOWS_ENERGY = (
    "energy_kcal",
    "fat_g",
    "saturated_fat_g",
    "carbohydrate_g",
    "net_carbohydrate_g",
    "sugars_g",
    "fibre_g",
    "linoleic_g",
    "alpha_linolenic_g",
)


def on_energy(targets: Targets, kcal: float, kept: Container[str] = ()) -> Targets:
    """Give targets on another energy, which a real client would be refused when it is this low."""

    def scaled(day: DayTargets) -> DayTargets:
        factor = kcal / day.energy_kcal
        ranges = {
            key: one.model_copy(
                update={
                    end: value * factor
                    for end in ("low", "aim", "high")
                    if (value := getattr(one, end)) is not None
                }
            )
            if key in FOLLOWS_ENERGY and key not in kept
            else one
            for key, one in day.ranges.items()
        }
        return day.model_copy(update={"energy_kcal": kcal, "ranges": ranges})

    return targets.model_copy(update={"days": tuple(scaled(day) for day in targets.days)})


@pytest.fixture(scope="session")
def client_day() -> Callable[..., DayModel]:
    """Give the maker of real days."""
    return make_client_day
