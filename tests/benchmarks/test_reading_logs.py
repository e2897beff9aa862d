"""How the cost of reading a log grows with it, as ratios within one run."""

import time

import pytest

from mealplan.checkin.decide.status import stand
from mealplan.checkin.log.entries import WeighIn
from mealplan.checkin.log.log import log_of
from mealplan.demo.folders import demo_intake
from tests.mealplan.checkin.conftest import day, living

TWELVE_WEEKS, THREE_YEARS = 84, 1095


def cost(work):
    """Give the processor time of the quicker of two runs, and what came of it."""
    best, found = float("inf"), None
    for _ in range(2):
        began = time.process_time()
        found = work()
        best = min(best, time.process_time() - began)
    return best, found


@pytest.mark.benchmark
def test_three_years_cost_fifteen_times_twelve_weeks_and_one_entry_a_twentieth():
    intake = demo_intake("club-lifter")
    logs = {
        days: log_of(living(days=days, intake=3100, expenditure=3090))
        for days in (TWELVE_WEEKS, THREE_YEARS)
    }
    short, _ = cost(lambda: stand(intake, logs[TWELVE_WEEKS], (), day(TWELVE_WEEKS)))
    long, (_, reading) = cost(lambda: stand(intake, logs[THREE_YEARS], (), day(THREE_YEARS)))
    more = WeighIn(on=day(THREE_YEARS), mass_kg=80.5)
    onward, _ = cost(
        lambda: stand(intake, logs[THREE_YEARS].add(more), (), day(THREE_YEARS), reading)
    )
    assert long <= 15 * short, (long, short, onward)
    assert onward <= long / 20, (long, short, onward)
