"""Figures are right on courses made by hand."""

import math

import pytest

from tests.studies.second_world.curve import Point, at_equal_false
from tests.studies.second_world.protocol import Band, Verdict
from tests.studies.second_world.runner import Course, Look, Truth
from tests.studies.second_world.scoring import (
    gap_left,
    half_seen_days,
    is_false,
    never_moved,
    row,
    score,
    weeks_off,
)


def a_look(day=7, gap=0.0, move=0.0, band=None, plan=2000.0):
    said = Band(sum(band) / 2, *band) if band else None
    verdict = Verdict(move_kcal=move, gap=said)
    return Look(day, plan, Truth(gap, 80.0, -0.4, 2500.0), verdict, move)


# source: worked by hand
@pytest.mark.parametrize(
    ("gap", "move", "false"),
    [
        (200, 0, False),  # holding is never a false move
        (200, 150, False),
        (-200, -150, False),
        (200, -100, True),  # away
        (-200, 100, True),
        (60, 40, True),  # towards, but there was nothing to mend
        (100, 190, False),  # overshoots, yet ends nearer: 90 off
        (100, 210, True),  # overshoots and ends further off: 110
    ],
)
def test_a_move_is_false_when_away_for_nothing_or_too_far(gap, move, false):
    assert is_false(a_look(gap=gap, move=move)) is false


def test_gap_left_is_what_remains_after_the_last_move():
    course = Course("cut", [a_look(gap=-500), a_look(gap=-300, move=-200)])
    assert gap_left(course) == -100


def test_weeks_off_counts_from_the_fifth_before_its_move():
    gaps = [900, 900, 900, 900, 200, -250, 199, 0]
    course = Course("hold", [a_look(gap=gap, move=gap) for gap in gaps])
    assert weeks_off(course) == 2


@pytest.mark.parametrize(
    ("gaps", "move", "never"),
    [
        ([300, 300, 300], 0, True),
        ([300, -300, 260], 0, True),
        ([300, 300, 100, 300, 300], 0, False),  # never three running
        ([300, 300, 300], 50, False),
    ],
)
def test_never_moved_needs_three_weeks_far_off_and_no_move(gaps, move, never):
    course = Course("gain", [a_look(gap=gap, move=move) for gap in gaps])
    assert never_moved(course) is never


def test_half_seen_is_the_first_look_that_shows_half():
    course = Course("hold", [], step_day=20, step_kcal=300.0)
    assert math.isnan(half_seen_days(course))
    course.seen = {21: 0.1, 28: 0.4, 35: 0.6, 42: 0.9}
    assert half_seen_days(course) == 15
    course.seen = {21: 0.1, 28: 0.4}
    assert half_seen_days(course) == math.inf


def test_score_counts_bands_moves_and_sides_by_phase():
    cut = Course(
        "cut",
        [
            a_look(7, gap=-300, move=-200, band=(-350, -250)),
            a_look(14, gap=-100, band=(-50, 50)),
        ],
        step_day=10,
        step_kcal=-200.0,
    )
    gain = Course("gain", [a_look(7, gap=40, move=30, band=(0, 80)), a_look(14, gap=10)])
    figures = score([cut, gain])
    assert figures.gap == pytest.approx(2 / 3)  # the look without a band does not count
    assert math.isnan(figures.level)
    assert figures.after_step == 0.0  # only the look of day 14 comes after day 10
    assert figures.moves == 1.0
    assert figures.false == 0.5
    assert figures.worse == 0.0
    assert figures.left_kcal == pytest.approx((100 + 10) / 2)
    assert figures.bias["cut"] == -100
    assert figures.bias["gain"] == 10
    assert math.isnan(figures.bias["hold"])
    assert figures.gap_width == pytest.approx((100 + 100 + 80) / 3)
    assert "| 67 |" in row("x", figures)


def test_a_logged_change_is_not_counted_among_the_untold():
    look = a_look(14, gap=0, band=(-10, 10))
    told = Course("hold", [look], step_day=10, step_kcal=200.0, step_logged=True)
    assert math.isnan(score([told]).after_step)
    untold = Course("hold", [look], step_day=10, step_kcal=200.0)
    assert score([untold]).after_step == 1.0


def test_equal_false_moves_are_found_between_points_and_not_beyond():
    points = [Point(0.95, 0.2, 3.0, 120.0), Point(0.8, 0.6, 2.0, 100.0)]
    assert at_equal_false(points, 0.4) == pytest.approx((2.5, 110.0))
    assert all(math.isnan(value) for value in at_equal_false(points, 0.7))
