"""A season lays phases end to end; sick and travelling days are eaten at maintenance."""

from __future__ import annotations

import datetime as dt
import itertools

import pytest

from foods.dishes.load import load_dishes
from mealplan.client.read import parse_intake
from mealplan.demo.folders import demo_intake
from mealplan.errors import IntakeError
from mealplan.menu.context import Context
from mealplan.menu.verify import verify_plan
from mealplan.menu.week import make_plan
from mealplan.render.text import day_text
from mealplan.targets.make import make_targets
from mealplan.targets.season import hand_over, season_steps, season_text


def lifter(**changes):
    data = demo_intake("club-lifter").model_dump(mode="json", exclude_unset=True)
    return parse_intake(data | changes)


def test_phases_follow_one_another_and_carry_the_body_on():
    steps = season_steps(demo_intake("club-lifter"))
    assert [step.phase.kind for step in steps] == ["gain", "hold", "cut"]
    for before, after in itertools.pairwise(steps):
        assert before.phase.end == after.phase.start
        assert after.start_kg == pytest.approx(before.end_kg)
    # worked by hand: 0.25 % a week for four weeks is the rate the first phase is set to
    gain = steps[0]
    assert gain.end_low_kg < gain.start_kg * (1 + 0.0025 * 12) + 1 < gain.end_high_kg
    assert steps[0].targets.energy.value > steps[1].targets.energy.value
    assert steps[2].targets.energy.value < steps[1].targets.energy.value


def test_the_season_text_says_when_each_phase_hands_over():
    text = season_text(demo_intake("club-lifter"))
    assert "body fat reaches 18 %" in text
    assert "hands over on 08 March 2027" in text


def test_a_phase_stops_by_fat_before_the_calendar():
    lean = lifter()
    assert hand_over(lean, dt.date(2026, 12, 20)).decision == "stay"
    fatter = lifter(scan={"date": "2026-11-20", "method": "dxa", "fat_percent": 18.4})
    found = hand_over(fatter, dt.date(2026, 12, 20))
    assert found.decision == "hand over"
    assert "18 %" in found.reasons[0]


def test_a_limit_nobody_measured_cannot_be_told():
    blind = lifter(scan=None, girths=None)
    assert hand_over(blind, dt.date(2026, 12, 20)).decision == "can't tell"


def test_a_day_outside_the_season_and_a_missing_season_say_what_to_do():
    with pytest.raises(IntakeError, match="outside this intake's season"):
        hand_over(lifter(), dt.date(2030, 1, 1))
    with pytest.raises(IntakeError, match="no season; add one"):
        season_steps(lifter(season=[]))


@pytest.mark.parametrize(
    "part",
    [{"phase": "gain", "weeks": 4, "rate_percent_per_week": -0.3}, {"phase": "cut", "weeks": 0}],
)
def test_a_phase_that_contradicts_itself_is_refused(part):
    with pytest.raises(IntakeError, match="season"):
        lifter(season=[part])


def test_a_sick_day_is_planned_at_maintenance_and_verified_so():
    intake = lifter(held_days=[{"date": "2026-12-01", "why": "sick"}])
    targets = make_targets(intake)
    plan = make_plan(intake, targets, days=2)
    usual, held = plan.days
    assert usual.energy_target_kcal == targets.on("mon").energy_kcal
    assert held.energy_target_kcal < targets.on("tue").energy_kcal - 100
    assert held.energy_kcal == pytest.approx(held.energy_target_kcal, rel=0.02)
    banned = Context.make(intake, targets).exclusions.foods
    assert verify_plan(plan, targets, banned, {dish.key: dish for dish in load_dishes()}) == ()


def test_fuel_stands_on_the_menu_and_the_day_is_met_with_it():
    run = {"day": "tue", "activity": "12050", "minutes": 150, "time": "08:00"}
    intake = lifter(activity={"method": "component", "everyday_factor": 1.4, "sessions": [run]})
    targets = make_targets(intake)
    plan = make_plan(intake, targets, days=1, first=dt.date(2026, 12, 1))
    day = plan.days[0]
    energy = next(line for line in day.adequacy if line.key == "energy_kcal")
    assert day.training_kcal > 400
    assert energy.total == pytest.approx(day.energy_kcal + day.training_kcal, rel=0.001)
    assert energy.met
    assert [said.split()[1] for said in day.around_sessions] == ["before", "during", "after"]
    assert "while training" in " ".join(day_text(day).split())
    banned = Context.make(intake, targets).exclusions.foods
    assert verify_plan(plan, targets, banned, {dish.key: dish for dish in load_dishes()}) == ()
