"""What a logged session cost when its client did not know."""

import pytest

from mealplan.checkin.decide.status import standing
from mealplan.checkin.energy.training_cost import planned_sessions, with_costs
from mealplan.checkin.log.entries import IntakeRecord, TrainingDone, WeighIn
from mealplan.checkin.log.log import log_of
from mealplan.demo.folders import demo_intake


@pytest.fixture(scope="module")
def lifter():
    return demo_intake("club-lifter")


def cost(lifter, **fields):
    log = with_costs(log_of([TrainingDone(on="2026-12-01", **fields)]), lifter, 1800.0)
    return log.entries[0].net_kcal


def test_a_session_of_the_usual_week_costs_what_the_intake_says(lifter):
    planned = planned_sessions(lifter)[0]
    # source: worked by hand: (MET x 80 kg - 1800/24) x 1 h
    wanted = planned.met * 80.0 - 75.0
    assert cost(lifter, what=planned.name.upper(), minutes=60) == pytest.approx(wanted, rel=0.06)
    half = cost(lifter, what=planned.name, minutes=30)
    assert half == pytest.approx(cost(lifter, what=planned.name, minutes=60) / 2)


@pytest.mark.parametrize(
    "fields",
    [
        {"what": "something with ropes", "minutes": 60},
        {"what": "running", "minutes": 60},
        {"what": "02054"},
        {"minutes": 60},
    ],
)
def test_what_fits_no_single_row_stays_unknown_and_is_not_nothing(lifter, fields):
    assert cost(lifter, **fields) is None


def test_a_cost_that_was_typed_stays(lifter):
    assert cost(lifter, what="02054", minutes=60, net_kcal=123) == 123


def test_names_are_those_people_read(lifter):
    names = [session.name for session in planned_sessions(lifter)]
    assert names
    assert not any(name.isdigit() for name in names)
    assert planned_sessions(demo_intake("club-climber")) == ()


def test_too_little_beside_training_is_warned_of_without_typed_costs(lifter):
    name = planned_sessions(lifter)[0].name
    days = [f"2026-12-{day:02}" for day in range(1, 15)]
    entries = [
        entry
        for on in days
        for entry in (
            WeighIn(on=on, value=80),
            IntakeRecord(on=on, adherence="other", kcal=1900),
            TrainingDone(on=on, what=name, minutes=90),
        )
    ]
    import datetime as dt

    found = standing(lifter, log_of(entries), (), dt.date(2026, 12, 14))
    assert "low energy availability" in [one.code for one in found.warnings]
