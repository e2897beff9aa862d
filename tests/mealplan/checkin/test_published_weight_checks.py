"""Every worked figure on weight series, reproduced by the functions the program uses."""

import csv
import json
from pathlib import Path

import pytest

from mealplan.checkin.energy import expenditure
from mealplan.checkin.trend import simple as simple_trend
from mealplan.checkin.trend.simple import exponential_average, least_squares_slope, median_slope
from mealplan.physiology.body import precision

CHECKS = Path(__file__).parents[2] / "published" / "weight_checks.csv"
ROWS = list(csv.DictReader(CHECKS.read_text(encoding="utf-8").splitlines()))
S14 = [80.0, 80.4, 79.9, 80.3, 80.6, 80.1, 80.5, 80.7, 80.2, 80.6, 83.0, 80.8, 80.4, 80.9]


def s14_least_squares(without):
    kept = [day for day in range(len(S14)) if day not in without]
    return least_squares_slope(kept, [S14[day] for day in kept])


LOCAL = {
    "s14_exponential_average": lambda share: exponential_average(S14, share)[-1],
    "s14_least_squares": s14_least_squares,
    "s14_median_slope": lambda: median_slope(range(len(S14)), S14),
    "expenditure_se_white": lambda **a: simple_trend.slope_se_white(**a) / 7 * 7700,
    "expenditure_se_correlated": lambda **a: simple_trend.slope_se_correlated(**a) / 7 * 7700,
}


def function_for(name):
    if name in LOCAL:
        return LOCAL[name]
    for module in (simple_trend, expenditure, precision):
        if hasattr(module, name):
            return getattr(module, name)
    raise AssertionError(f"no function computes {name}")


# source: see the provenance column of the table, row by row
@pytest.mark.parametrize("row", ROWS, ids=lambda row: row["id"])
def test_the_worked_figure_is_reproduced(row):
    value = function_for(row["quantity"])(**json.loads(row["arguments"]))
    assert value == pytest.approx(float(row["expected"]), abs=0.501 * 10.0 ** -int(row["decimals"]))


def test_two_weeks_of_daily_weighing_cannot_tell_a_lean_gain_from_nothing():
    # source: worked by hand: +0.2 kg/week at 95 % needs a standard error of 0.10 or less
    assert simple_trend.slope_se_white(0.5, 14) > 0.10 > simple_trend.slope_se_white(0.5, 28)
