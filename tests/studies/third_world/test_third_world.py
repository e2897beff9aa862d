"""Clients of the third world: energy adds up, truth is what it says, luck is the same for all."""

import dataclasses

import pytest

from tests.studies.second_world.protocol import Plan, PublicLog
from tests.studies.second_world.runner import add_day, run_client
from tests.studies.second_world.weekly_means import Careful
from tests.studies.third_world.client import THERMIC, Client, make_client
from tests.studies.third_world.worlds import LIVELY, QUIET

STILL = dataclasses.replace(
    QUIET, day_cv=0.0, log_cv=0.0, spells_kcal=0.0, restless_kcal=0.0, unlogged=(0.0, 0.0)
)


@pytest.mark.parametrize("seed", [1, 2, 3])
def test_eating_what_the_gap_asks_brings_the_wanted_pace(seed):
    # source: worked by hand: a plan moved by the gap has none, and weight goes at the wanted rate
    client = Client(STILL, seed)
    client.follows = 1.0
    client.adaptation = 0.0
    plan = Plan(client.person.phase, client.person.rate_kg_per_week, client.first_plan_kcal, 0)
    kcal = plan.kcal + client.gap_kcal(plan)
    before = client.body.tissue_kg
    for day in range(14):
        client.live(day, kcal)
    moved = (client.body.tissue_kg - before) / 2
    assert moved == pytest.approx(client.person.rate_kg_per_week, abs=0.02)


def test_what_is_eaten_is_spent_or_stored():
    # source: worked by hand: one day's balance, the food's own cost taken off, against the log of
    # a client who forgets nothing
    client = Client(dataclasses.replace(STILL, bias=1.0, bias_sd=0.0, day_cv=0.1), 7)
    for day in range(21):
        steady, before = client.steady_kcal, client.body.tissue_kg
        (eaten,) = client.live(day, client.first_plan_kcal).eaten
        stored = client.density * (client.body.tissue_kg - before)
        assert stored == pytest.approx((1 - THERMIC) * eaten.kcal - steady, abs=1.0)


def test_the_same_seed_gives_the_same_course_and_a_change_can_be_forgotten():
    first, again = (run_client(Careful(), make_client("lively", 11), 4) for _ in range(2))
    assert repr(first) == repr(again)
    client = make_client("untold", 3)
    assert client.calendar.step_day is not None
    client.forget_step()
    assert client.calendar.step_kcal == 0.0


def test_what_is_logged_falls_short_as_the_truth_says():
    # source: worked by hand: logged over eaten, both averaged over a client's days
    world = dataclasses.replace(
        LIVELY, slack_chance=0.0, holiday=0.0, sick=0.0, unlogged=(0.0, 0.0), log_cv=0.0
    )
    client, log, eaten = Client(world, 5), PublicLog(), []
    for day in range(120):
        before, steady = client.body.tissue_kg, client.steady_kcal
        add_day(log, client, day, client.first_plan_kcal)  # type: ignore[arg-type]
        stored = client.density * (client.body.tissue_kg - before)
        eaten.append((stored + steady) / (1 - THERMIC))
    logged = sum(e.kcal for e in log.eaten) / len(log.eaten)
    said = client.logging_scale(0) * sum(eaten) / len(eaten)
    assert logged == pytest.approx(said, rel=0.02)
