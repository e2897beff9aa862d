"""Pulses and dried fruit: rows that keep them from a session, bedtime and a tender gut."""

import datetime as dt

import pytest

from mealplan.client.read import parse_intake
from mealplan.menu.context import Context
from mealplan.rules import Scope
from mealplan.rules.rows.gut import Gut, bloated, pulses_per_gram
from mealplan.targets.make import make_targets

BODY = {
    "role": "club lifter",
    "start": "2026-12-07",
    "sex": "male",
    "age_years": 27,
    "height_cm": 175,
    "weight_kg": 84,
    "goal": {"phase": "hold"},
    "activity": {
        "method": "component",
        "everyday_factor": 1.3,
        "sessions": [{"day": "mon", "activity": "02050", "minutes": 80, "time": "15:30"}],
    },
    "kitchen": {"meals": 6, "meal_times": ["07:30", "10:00", "12:00", "14:00", "18:00", "21:00"]},
}


def rows_of(day, **tastes):
    intake = parse_intake(BODY | {"tastes": tastes})
    targets = make_targets(intake)
    asked = targets.on_date(dt.date(2026, 12, 7) + dt.timedelta(days=day))
    context = Context.make(intake, targets)
    scope = Scope(intake, targets, asked, context.slots_on(asked), context.space)
    return {row.name: row for row in Gut().rows(scope)}


def test_no_plateful_of_pulses_before_training_nor_at_bedtime():
    # source: common practice (a dietitian's marks: 150 g within two hours, none as a late snack)
    found = rows_of(0)
    assert found["pulses@3"].high == 150
    assert found["pulses@5"].high == 30
    assert "pulses@2" not in found  # three hours and a half ahead
    assert "pulses@3" not in rows_of(1)  # no session that day
    assert "pulses:day" not in found


def test_someone_whom_pulses_bloat_has_a_little_once_a_day_and_no_dried_fruit_before_bed():
    found = rows_of(0, pulses_bloat=True)
    assert found["pulses:day"].high == 100
    assert found["pulses@3"].high == 30
    assert found["dried fruit@5"].high == 0
    assert found["dried fruit@1"].high == 35


def test_an_irritable_bowel_counts_as_one_that_pulses_bloat():
    # source: published (Monash University, low-FODMAP diet: pulses hold galacto-oligosaccharides)
    assert not bloated(parse_intake(BODY))
    assert bloated(parse_intake(BODY | {"health": ["irritable bowel"]}))


@pytest.mark.parametrize(
    ("food", "grams"),
    [
        ("black_beans_canned_drained", 1.0),
        ("lentils_red_dry", 2.5),
        ("hummus", 0),
        ("tofu_firm_calcium", 0),
    ],
)
def test_whole_pulses_count_by_their_boiled_weight(food, grams):
    # source: worked by hand (yields of the catalogue)
    intake = parse_intake(BODY)
    space = Context.make(intake, make_targets(intake)).space
    assert pulses_per_gram(space)[space.index[food]] == grams
