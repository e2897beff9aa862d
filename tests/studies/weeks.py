"""
Plan weeks of eight households as they say they live, and count what they were promised.

Run ``python -m tests.studies.weeks`` (about two minutes), with ``--weeks 4`` for weeks in a row
and with names of households to take only those. Every plan goes through the independent verifier.
Nothing here is asserted: it prints the table that a reader judges by.
"""

from __future__ import annotations

import argparse
import datetime as dt
import statistics
import time
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from mealplan.client.intake import Intake
from mealplan.client.read import parse_intake
from mealplan.cooking.sheet import batch_plan
from mealplan.kitchen.custom_foods import catalogue_of, dishes_of
from mealplan.market.price_list import demo_prices, price_list
from mealplan.menu.context import Context
from mealplan.menu.following import with_rest_of
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.plan import Meal, Plan
from mealplan.rules.preferences.places import can_be_eaten
from mealplan.shopping.build import shopping_list
from mealplan.shopping.lines import ListLine, ShoppingList
from mealplan.shopping.till import till_of
from mealplan.targets.make import make_targets

START = dt.date(2026, 11, 29)
"""A Sunday, on which households with cooking days cook."""

_PRICES = [
    {"food": name, "size_g": size, "price": price}
    for name, packs in demo_prices().by_name.items()
    for size, price in packs.items()
]
"""The demonstration's invented ones."""

_WEEKDAYS = ("mon", "tue", "wed", "thu", "fri")
_LITTLE_TIME = dict.fromkeys(("mon", "tue", "thu", "fri", "sat"), 5) | {"sun": 90, "wed": 60}


def _household(
    sex: str, age: int, height: int, weight: float, pal: float, **parts: Mapping[str, object]
) -> dict[str, object]:
    return {
        "role": "club athlete",
        "sex": sex,
        "age_years": age,
        "height_cm": height,
        "weight_kg": weight,
        "start": START.isoformat(),
        "goal": {"phase": "hold"},
        "activity": {"method": "multiplier", "pal": pal},
        **parts,
    }


HOUSEHOLDS: Mapping[str, dict[str, object]] = {
    "lifter, usual": _household("male", 28, 182, 84, 1.75),
    "runner, 30 min": _household(
        "female",
        31,
        168,
        60,
        1.8,
        kitchen={
            "hands_on_min": dict.fromkeys(_WEEKDAYS, 30),
            "living": {
                "same_breakfast_on_weekdays": True,
                "with_kettle": ["weekdays midday"],
                "on_the_move": ["sat small"],
            },
        },
    ),
    "climber, adventurous": _household(
        "male", 35, 176, 68, 1.7, kitchen={"living": {"variety": "adventurous"}}
    ),
    "cyclist, steady": _household(
        "male",
        40,
        180,
        74,
        2.0,
        kitchen={
            "meals": 5,
            "living": {"variety": "steady", "same_breakfast_on_weekdays": True},
        },
    ),
    "swimmer, two batch days": _household(
        "female",
        26,
        172,
        66,
        1.7,
        kitchen={
            "hands_on_min": _LITTLE_TIME,
            "living": {"cooking_days": ["sun", "wed"]},
        },
    ),
    "boxer, South Asian": _household(
        "male",
        24,
        175,
        72,
        1.8,
        tastes={"favourites": ["South Asian"], "dislikes": ["Italian"]},
    ),
    "rower, beans at home": _household(
        "female",
        29,
        176,
        70,
        1.8,
        tastes={"allergies": ["gluten"], "favourites": ["chickpeas"]},
        kitchen={"cupboard": [{"food": "black_beans_cooked", "grams": 2000}]},
    ),
    "student, 35 a week": _household(
        "male",
        22,
        178,
        70,
        1.6,
        kitchen={
            "shop": {"prices": _PRICES, "budget_per_week": 35},
            "hands_on_min": dict.fromkeys(_WEEKDAYS, 35),
        },
    ),
    "triathlete, no soy, 20 min": _household(
        "male",
        33,
        178,
        71,
        1.9,
        tastes={"allergies": ["soy"], "likes": ["Mexican"]},
        kitchen={"meals": 5, "hands_on_min": dict.fromkeys(_WEEKDAYS, 20)},
    ),
}  # fmt: skip


@dataclass(frozen=True)
class Week:
    """A planned week with its list and what it cost to plan."""

    intake: Intake
    plan: Plan
    shopping: ShoppingList
    cpu_s: float
    violations: int
    before: Plan | None

    @property
    def meals(self) -> list[Meal]:
        """All meals in order."""
        return [meal for day in self.plan.days for meal in day.meals]

    @property
    def dishes(self) -> set[str]:
        """Keys of what is served."""
        return {meal.dish for meal in self.meals}

    def lines(self, section: str) -> list[ListLine]:
        """Lines of a part of the list."""
        return [line for line in self.shopping.lines if line.section == section]


def plan_weeks(intake: Intake, weeks: int) -> list[Week]:
    """
    Plan weeks in a row, each with what the one before left.

    Parameters
    ----------
    intake : Intake
    weeks : int

    Returns
    -------
    list of Week
    """
    targets = make_targets(intake)
    context = Context.make(intake, targets)
    found: list[Week] = []
    before: Plan | None = None
    for number in range(weeks):
        began = time.process_time()
        first = intake.start + dt.timedelta(days=7 * number)
        plan = make_plan(intake, targets, first=first, before=before)
        spent = time.process_time() - began
        faults = verify_plan(plan, targets, context.exclusions.foods, context.by_key)
        lived = with_rest_of(intake, before) if before is not None else intake
        found.append(Week(lived, plan, shopping_list(plan, lived), spent, len(faults), before))
        before = plan
    return found


def minutes_over(week: Week) -> list[int]:
    """Minutes beyond what the cook has, of days that go beyond. [min]"""
    limits = week.intake.kitchen.hands_on_min
    sheet = batch_plan(week.plan, week.intake)
    over = [
        cooked.hands_on_min + cooked.ahead_min - limits[day.weekday]
        for day, cooked in zip(week.plan.days, sheet.days, strict=True)
        if day.weekday in limits
    ]
    return [minutes for minutes in over if minutes > 0]


def little_used(week: Week) -> int:
    """Count packs under a quarter used with over 100 g left."""
    return sum(
        line.buy_g > 0
        and line.left_over_g > 100
        and line.need_g - line.from_cupboard_g < 0.25 * line.buy_g
        for line in week.lines("buy")
    )


def bought_over_needed(week: Week) -> float:
    """Give the mass bought over the mass needed beyond what is at home."""
    lines = week.lines("buy")
    needed = sum(line.need_g - line.from_cupboard_g for line in lines)
    return sum(line.buy_g for line in lines) / needed


def cooked_elsewhere(week: Week) -> int:
    """Count dinners cooked on a day that is no cooking day."""
    cooking = week.intake.kitchen.living.cooking_days
    return sum(
        bool(cooking)
        and meal.occasion == "evening"
        and cooked.strftime("%a").lower() not in cooking
        for day in week.plan.days
        for meal in day.meals
        for cooked in [meal.leftover_from or day.date]
    )


def misplaced(week: Week) -> int:
    """Count meals that cannot be eaten where they should be."""
    known = {dish.key: dish for dish in dishes_of(week.intake)}
    living = week.intake.kitchen.living
    return sum(
        not can_be_eaten(
            known[meal.dish],
            living.place_of(day.weekday, meal.occasion),
            kept=meal.leftover_from is not None,
        )
        for day in week.plan.days
        for meal in day.meals
    )


def same_breakfasts(week: Week) -> int:
    """Count the weekday breakfasts that are the commonest one."""
    found = [day.meals[0].dish for day in week.plan.days if day.weekday not in ("sat", "sun")]
    return max(map(found.count, found))


def dinners_of(week: Week, words: Sequence[str]) -> int:
    """Count dinners of a tradition."""
    known = {dish.key: dish for dish in Context.make(week.intake, make_targets(week.intake)).dishes}
    return sum(
        any(word.lower() in known[meal.dish].tradition.lower() for word in words)
        for meal in week.meals
        if meal.occasion == "evening" and meal.dish in known
    )


def open_used(week: Week) -> float | None:
    """Give the part of open packs, by mass, that the week uses; None without any."""
    if week.before is None:
        return None
    home = {line.name: line for line in week.shopping.lines if line.from_cupboard_g > 0}
    kept = {
        catalogue_of(week.intake).food(item.food).bought_name: item.grams
        for item in week.intake.kitchen.cupboard
    }
    worth = {name: grams for name, grams in kept.items() if grams >= 50}
    return sum(name in home for name in worth) / max(1, len(worth))


def new_dishes(week: Week) -> float | None:
    """Give the part of dishes that the week before did not serve; None without one."""
    if week.before is None:
        return None
    served = {meal.dish for day in week.before.days for meal in day.meals}
    return len(week.dishes - served) / len(week.dishes)


Cell = Callable[[Week], object]

COLUMNS: Mapping[str, Cell] = {
    "things to buy": lambda week: len(week.lines("buy")),
    "to check": lambda week: len(week.lines("check at home")),
    "dishes": lambda week: len(week.dishes),
    "little used": little_used,
    "bought/needed": lambda week: f"{bought_over_needed(week):.2f}",
    "days over": lambda week: len(minutes_over(week)),
    "most over": lambda week: max(minutes_over(week), default=0),
    "cooked elsewhere": cooked_elsewhere,
    "misplaced": misplaced,
    "same breakfast": same_breakfasts,
    "new dishes": lambda week: _percent(new_dishes(week)),
    "open used": lambda week: _percent(open_used(week)),
    "till": lambda week: _till(week),
    "musts missed": lambda week: len(week.plan.musts_missed),
    "violations": lambda week: week.violations,
    "score": lambda week: f"{sum(day.objective for day in week.plan.days):.2f}",
    "CPU s": lambda week: f"{week.cpu_s:.1f}",
}


def _till(week: Week) -> str:
    """Give what is paid and what of it stays, where the household has prices."""
    prices = price_list(week.intake.kitchen.shop)
    if prices is None:
        return ""
    till = till_of(week.shopping, prices, catalogue_of(week.intake))
    return f"{till.paid:.2f}, {till.stays:.2f} stays"


def _percent(part: float | None) -> str:
    return "" if part is None else f"{part:.0%}"


def table(rows: Sequence[tuple[str, Week]]) -> str:
    """
    Write weeks as a table.

    Parameters
    ----------
    rows : sequence of (str, Week)

    Returns
    -------
    str
        Markdown.
    """
    head = ["household", *COLUMNS]
    lines = ["| " + " | ".join(head) + " |", "|" + " --- |" * len(head)]
    for name, week in rows:
        cells = [str(cell(week)) for cell in COLUMNS.values()]
        lines.append("| " + " | ".join([name, *cells]) + " |")
    return "\n".join(lines)


def tastes_of(week: Week) -> str:
    """Say how often what is liked, disliked and at home comes."""
    tastes = week.intake.tastes
    said = []
    for step in ("favourites", "likes", "dislikes"):
        for word in getattr(tastes, step):
            foods = [
                m for m in week.meals if any(word.lower() in s.name.lower() for s in m.servings)
            ]
            said.append(f"{step} {word}: {dinners_of(week, [word])} dinners, in {len(foods)} meals")
    for item in week.intake.kitchen.cupboard if week.before is None else ():
        taken = sum(
            line.from_cupboard_g
            for line in week.shopping.lines
            if line.from_cupboard_g and item.food in (line.bought, *line.foods)
        )
        said.append(f"{item.food}: {taken:.0f} of {item.grams:.0f} g used")
    return "; ".join(said)


def main() -> None:
    """Plan and print."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("households", nargs="*", help="parts of names; all when left out")
    parser.add_argument("--weeks", type=int, default=1)
    options = parser.parse_args()
    chosen = {
        name: body
        for name, body in HOUSEHOLDS.items()
        if not options.households or any(word in name for word in options.households)
    }
    rows: list[tuple[str, Week]] = []
    for name, body in chosen.items():
        weeks = plan_weeks(parse_intake(body), options.weeks)
        mine = [(f"{name}, week {n}", week) for n, week in enumerate(weeks, 1)]
        rows += mine
        print("\n".join(table(mine).splitlines()[2:]), flush=True)
        said = tastes_of(weeks[0])
        if said:
            print(f"{name}: {said}", flush=True)
    print(table(rows))
    things = [len(week.lines("buy")) for _, week in rows]
    cpu = [week.cpu_s for _, week in rows]
    print(f"things to buy: median {statistics.median(things):g}, worst {max(things)}")
    print(f"CPU a week: median {statistics.median(cpu):.1f} s, worst {max(cpu):.1f} s")


if __name__ == "__main__":
    main()
