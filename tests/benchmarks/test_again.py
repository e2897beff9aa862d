"""Planning again after a change: a dislike, a lock, an eaten meal, an impossible wish."""

from __future__ import annotations

import statistics

import pytest

from mealplan.client.intake import Bound
from mealplan.lp.explain.day import explain_day
from mealplan.lp.search import solve_day
from mealplan.menu.change import DayRequest, Eaten, change_day
from mealplan.menu.context import Context
from mealplan.menu.day import day_model, solve_one
from mealplan.menu.finish import explain_clashes
from mealplan.menu.served import Served
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.menu.write import plan_day
from mealplan.targets.make import make_targets

pytestmark = pytest.mark.benchmark


def served_of(day, plan):
    """What a planned day serves, for planning another among it."""
    place = {other.date: number for number, other in enumerate(plan.days)}
    return tuple(
        Served(
            meal.dish,
            {serving.food: serving.grams for serving in meal.servings},
            place.get(meal.leftover_from),
        )
        for meal in day.meals
    )


CHANGED = (1, 3, 5)
"""Days of the week that are changed; how hard a day is differs, so several are timed."""


def from_nothing(client, plan, place):
    """A day as it was planned at first: arrays, search, written out, explained."""
    day = plan.days[place]
    targets = client.targets.on_date(day.date)
    others = {
        number: served_of(other, plan) for number, other in enumerate(plan.days) if number != place
    }
    solved = solve_one(client.context, place, targets, others)
    written = plan_day(client.context, place, day.date, targets, others, solved, {})
    return written, explain_clashes([written], {0: solved})


def test_planning_again_after_a_change(client, bench):
    plan = make_plan(client.intake, client.targets, days=7)
    model = client.day()
    search, _ = bench.cpu_seconds(lambda: solve_day(model))
    one = statistics.median(
        bench.cpu_seconds(lambda p=place: from_nothing(client, plan, p), repeats=3)[0]
        for place in range(len(plan.days))
    )
    last = len(plan.days[0].meals) - 1
    calls = {
        "dislike": {"another": [1]},
        "lock": {"keep": [0, last]},
        "eaten": {"settled": [0], "eaten": {1: Eaten("Canteen", {}, 700.0)}},
    }
    found = {}
    banned = client.context.exclusions.foods
    for name, call in calls.items():
        times = []
        for place in CHANGED:
            changed = []
            times.append(
                bench.cpu_seconds(
                    lambda call=call, changed=changed, date=plan.days[place].date: changed.append(
                        change_day(
                            client.intake,
                            client.targets,
                            plan,
                            DayRequest(date, **call),
                            context=client.context,
                        )
                    ),
                    repeats=3,
                )[0]
            )
            faults = verify_plan(changed[0].plan, client.targets, banned, client.context.by_key)
            # What was eaten elsewhere may leave no room for the day's energy; nothing else may
            # break.
            assert name == "eaten" or faults == ()
        found[name] = statistics.median(times)
    bench.row(
        "planning again",
        client=client.name,
        **{"day CPU ms": one * 1e3, "search alone CPU ms": search * 1e3},
        **{f"{name}/day": seconds / one for name, seconds in found.items()},
        **{f"{name}/search": seconds / search for name, seconds in found.items()},
    )


def test_a_day_whose_wishes_clash_is_planned_and_explained(client, bench):
    most = client.targets.on("mon").ranges["protein_g"].high
    nutrition = client.intake.nutrition
    bound = Bound(low=2.5 * most, high=2.6 * most)
    bounds = {**nutrition.bounds, "protein_g": bound}
    intake = client.intake.model_copy(
        update={"nutrition": nutrition.model_copy(update={"bounds": bounds})}
    )
    targets = make_targets(intake)
    model, _ = day_model(Context.make(intake, targets), 0, targets.on("mon"), {})
    easy = client.day()
    day, _ = bench.cpu_seconds(lambda: solve_day(easy))
    answers = []
    both, _ = bench.cpu_seconds(
        lambda: answers.append(explain_day(model, solve_day(model))), repeats=3
    )
    assert any(end.row.name == "protein_g" for end in answers[0].clash)
    bench.row(
        "plan and minimal clash",
        client=client.name,
        clash=" and ".join(end.words for end in answers[0].clash),
        **{"day CPU ms": day * 1e3, "plan and clash CPU ms": both * 1e3, "ratio": both / day},
    )
