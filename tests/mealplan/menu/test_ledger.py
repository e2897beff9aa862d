"""Floors of vitamins and minerals hold over a week, and no day falls below two thirds of them."""

import pytest

from mealplan.client.read import parse_intake
from mealplan.kitchen.food_arrays import FoodSpace
from mealplan.menu.ledger import floors_for, week_of
from mealplan.menu.served import Served
from mealplan.targets.make import make_targets
from mealplan.targets.ranges import DayTargets, TargetRange
from tests.planned import planned

INTAKE = {
    "role": "club runner",
    "start": "2026-11-30",
    "sex": "female",
    "age_years": 30,
    "height_cm": 168,
    "weight_kg": 60,
    "goal": {"phase": "hold"},
    "activity": {"method": "multiplier", "pal": 1.8},
}


def asking(low, days=7):
    """Days that ask for so much iron over the week and nothing else."""
    iron = TargetRange(key="iron_mg", label="Iron", unit="mg", low=low).weekly()
    day = DayTargets(weekday="mon", energy_kcal=2000, ranges={"iron_mg": iron})
    return [day] * days


def with_iron(space, amount):
    """A day whose only food brings so much iron."""
    food = next(f.key for f in space.foods if space.per_gram("iron_mg")[space.index[f.key]] > 0.02)
    grams = amount / float(space.toward("iron_mg")[space.index[food]])
    return (Served("lentils", {food: grams}, None),)


@pytest.fixture(scope="module")
def space():
    return FoodSpace.load()


def test_the_first_day_of_a_week_is_asked_for_its_even_part(space):
    assert floors_for(space, 0, asking(12.0), {})["iron_mg"] == pytest.approx(12.0)


def test_what_a_day_brings_beyond_its_part_is_taken_off_the_next(space):
    # source: worked by hand; 14 mg brought of 12, so 10 of 12 are left to ask
    found = floors_for(space, 1, asking(12.0), {0: with_iron(space, 14.0)})
    assert found["iron_mg"] == pytest.approx(10.0)


def test_no_day_is_asked_for_less_than_two_thirds(space):
    # source: worked by hand; 30 mg brought of 12, two thirds of 12 is 8
    found = floors_for(space, 1, asking(12.0), {0: with_iron(space, 30.0)})
    assert found["iron_mg"] == pytest.approx(8.0)


def test_what_a_day_lacks_is_shared_by_the_days_left(space):
    # source: worked by hand; 6 mg lack, six days are left, so each is asked for 12 + 6 / 6
    found = floors_for(space, 1, asking(12.0), {0: with_iron(space, 6.0)})
    assert found["iron_mg"] == pytest.approx(13.0)


def test_weeks_are_counted_apart(space):
    # source: worked by hand; the first week's plenty is nothing to the second
    assert list(week_of(8, 10)) == [7, 8, 9]
    history = {day: with_iron(space, 30.0) for day in range(7)}
    assert floors_for(space, 7, asking(12.0, 14), history)["iron_mg"] == pytest.approx(12.0)


def test_a_switch_keeps_floors_daily():
    daily = make_targets(parse_intake({**INTAKE, "nutrition": {"daily_floors": True}}))
    weekly = make_targets(parse_intake(INTAKE))
    assert daily.on("mon").ranges["iron_mg"].each_day == daily.on("mon").ranges["iron_mg"].low
    iron = weekly.on("mon").ranges["iron_mg"]
    assert iron.each_day == pytest.approx(iron.low * 2 / 3)


def test_a_weeks_means_are_added_up_from_its_days():
    intake = parse_intake(INTAKE)
    plan = planned(intake)
    assert plan.week_means
    for mean in plan.week_means:
        totals = [line.total for day in plan.days for line in day.adequacy if line.key == mean.key]
        assert mean.mean == pytest.approx(sum(totals) / 7)
        assert mean.met == (mean.mean >= mean.low * (1 - 1e-6))
