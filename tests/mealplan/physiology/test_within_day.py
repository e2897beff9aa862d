"""Energy through the day, on days that can be followed by hand."""

import pytest

from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.within_day import energy_through_day, spread_over_hours


def test_a_day_of_two_meals_by_hand():
    # source: worked by hand: 100 kcal an hour; 1,200 at noon and at eight in the evening.
    # By noon 12 hours (1,200) are used and nothing eaten: the twelfth hour ends 1,200 behind.
    eaten = [0.0] * 24
    eaten[12] = eaten[20] = 1200.0
    found = energy_through_day(eaten, [100.0] * 24, "female")
    assert found.lowest_kcal == -1200.0
    assert found.lowest_hour == 12
    # Behind by more than 300: hours 4 to 12 (400 to 1,200), and after noon's meal (-100 at the
    # end of its hour) hours 16 to 20 (400 to 800): nine and five.
    assert found.hours_deep == 14
    # source: published (the studies' lines: 300 kcal for women, 400 for men)
    assert energy_through_day(eaten, [100.0] * 24, "male").hours_deep == 12


def test_small_meals_often_never_fall_far_behind():
    # source: worked by hand: 300 kcal every third hour beginning at the first
    eaten = [300.0 if hour % 3 == 0 else 0.0 for hour in range(24)]
    found = energy_through_day(eaten, [100.0] * 24, "female")
    assert found.hours_deep == 0
    assert found.lowest_kcal == 0.0


def test_a_session_is_laid_into_its_hours():
    # source: worked by hand: 90 minutes from 17:45, a sixth in the first quarter of an hour
    hours = spread_over_hours(17 * 60 + 45, 90, 600)
    assert hours[17] == pytest.approx(100)
    assert hours[18] == pytest.approx(400)
    assert hours[19] == pytest.approx(100)
    assert sum(hours) == pytest.approx(600)
    assert sum(spread_over_hours(23 * 60, 120, 500)) == pytest.approx(500)


def test_a_day_has_twenty_four_hours():
    with pytest.raises(IntakeError, match="24"):
        energy_through_day([0.0] * 23, [0.0] * 24, "male")
