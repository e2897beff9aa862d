"""Meal times about sessions, worked by hand from the rules of common practice."""

from __future__ import annotations

import pytest

from mealplan.client.day_times import Engaged, times_on
from mealplan.client.read import parse_intake

# source: common practice (3 to 4 h after a full meal, 1 to 2 h after a small one), worked by hand


def client(**kitchen):
    return parse_intake(
        {
            "role": "club runner",
            "sex": "female",
            "age_years": 30,
            "height_cm": 165,
            "weight_kg": 60,
            "start": "2026-11-30",
            "goal": {"phase": "hold"},
            "activity": {"method": "multiplier", "pal": 1.8},
            "kitchen": kitchen,
        }
    )


def at(hour, minutes, breakfast=None):
    return Engaged(int(60 * hour), 60 * hour + minutes, breakfast)


@pytest.mark.parametrize(
    ("meals", "session", "times"),
    [
        (4, at(12, 30), ("07:30", "12:45", "16:00", "19:00")),
        (4, at(7, 60), ("08:15", "12:30", "16:00", "19:00")),
        (4, at(7, 240), ("05:00", "12:30", "16:00", "19:00")),
        (4, at(9.5, 60), ("06:30", "12:30", "16:00", "19:00")),
        (3, at(14, 90), ("07:30", "11:00", "19:00")),
        (4, at(17, 60), ("07:30", "12:30", "15:30", "19:00")),
        (3, at(18.5, 90), ("07:30", "12:30", "20:15")),
        (3, at(20, 90), ("07:30", "12:30", "17:00")),
        (3, at(20, 60), ("07:30", "12:30", "21:15")),
    ],
)
def test_meals_are_set_about_a_session(meals, session, times):
    assert times_on(client(meals=meals), [session]) == times


def test_times_the_client_gave_stay_unless_they_fall_into_a_session():
    given = ("06:15", "12:30", "19:00")
    fixed = client(meals=3, meal_times=given)
    assert times_on(fixed, [at(7, 60)]) == given
    assert times_on(fixed, [at(18.5, 60)]) == ("06:15", "12:30", "19:45")


def test_a_race_moves_breakfast_to_its_own_time():
    fixed = client(meals=3, meal_times=("08:00", "12:30", "19:00"))
    assert times_on(fixed, [at(9, 120, breakfast=360)]) == ("06:00", "12:30", "19:00")


def test_a_day_without_a_session_keeps_its_usual_times():
    assert times_on(client(meals=3), []) == ("07:30", "12:30", "19:00")
