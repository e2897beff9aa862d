"""Signs that are read together, and measures at both ends of a phase."""

import datetime as dt

import pytest
from pydantic import ValidationError

from mealplan.checkin.decide.signs import (
    check_signs,
    falling_bloods,
    thinner_limbs,
    worse_scores,
    worse_tests,
)
from mealplan.checkin.log.entries import Feeling, Girth, TestResult
from mealplan.checkin.log.log import log_of
from mealplan.checkin.review.measures import (
    blood_changes,
    felt_words,
    form_changes,
    girth_changes,
)
from mealplan.client.intake import BloodTest

START = dt.date(2026, 1, 5)


def day(number):
    return START + dt.timedelta(days=number)


def feelings(late, early, **same):
    return [
        Feeling(on=day(i), **{name: (late if i >= 42 else early)[name] for name in late}, **same)
        for i in range(0, 63, 3)
    ]


GOOD, BAD = {"sleep": 4, "mood": 4, "soreness": 2}, {"sleep": 2, "mood": 3, "soreness": 4}


def test_three_signs_together_are_a_warning_with_whom_to_see():
    found = check_signs(log_of(feelings(BAD, GOOD)), day(62), None)
    assert [one.code for one in found] == ["several signs together"]
    assert "sleep is worse" in found[0].message
    assert "dietitian" in found[0].see


def test_two_signs_or_no_change_are_none():
    assert check_signs(log_of(feelings(GOOD, GOOD)), day(62), None) == []
    two = {"sleep": 2, "mood": 3, "soreness": 2}
    assert check_signs(log_of(feelings(two, GOOD)), day(62), None) == []


def test_a_few_scores_are_too_few_to_compare():
    assert worse_scores(log_of(feelings(BAD, GOOD)[-3:]), day(62)) == []


# source: worked by hand (7 scores against 14, each scattering by half a step at least: the means
# differ by 0.23 by chance, 1.96 times that is 0.45; two of seven a step worse are 0.29, four 0.57)
@pytest.mark.parametrize(("worse_days", "surely"), [(2, False), (4, True)])
@pytest.mark.parametrize(
    ("name", "good", "bad"),
    [
        ("sleep", 4, 3), ("mood", 4, 3), ("digestion", 4, 3),
        ("soreness", 2, 3), ("hunger", 2, 3), ("illness", 2, 3),
    ],
)  # fmt: skip
def test_a_score_is_worse_once_chance_alone_would_not_do(name, good, bad, worse_days, surely):
    scores = [good] * 14 + [bad] * worse_days + [good] * (7 - worse_days)
    log = log_of(Feeling(on=day(3 * i), **{name: score}) for i, score in enumerate(scores))
    assert bool(worse_scores(log, day(62))) is surely
    better = [bad] * 14 + [good] * 7
    log = log_of(Feeling(on=day(3 * i), **{name: score}) for i, score in enumerate(better))
    assert worse_scores(log, day(62)) == []


@pytest.mark.parametrize(
    ("unit", "values", "gone_back"),
    [
        ("kg", (100, 87), True),
        ("kg", (100, 95), False),
        ("min", (20, 23), True),
        ("min", (20, 18), False),
        ("min", (0, 5), False),  # nought is no best time
        ("reps", (0, 3), False),
    ],
)
def test_a_test_has_gone_back_only_past_its_own_scatter(unit, values, gone_back):
    # source: worked by hand: 2.77 x 4 % of the best is 11 %
    log = log_of(
        TestResult(on=day(on), name="trial", value=value, unit=unit)
        for on, value in zip((10, 55), values, strict=True)
    )
    assert bool(worse_tests(log, day(62))) is gone_back


def test_left_and_right_are_judged_by_themselves():
    log = log_of(
        Girth(on=day(on), site="thigh", side=side, length_cm=value)
        for side, ends in (("left", (56, 58.5)), ("right", (57, 57.2)))
        for on, value in zip((0, 60), ends, strict=True)
    )
    changes = {one.what: one.word for one in girth_changes(log, day(0), day(60))}
    # source: worked by hand: 2.77 x 0.5 cm = 1.4 cm
    assert changes == {"left thigh": "more", "right thigh": "no detectable change"}
    with pytest.raises(ValidationError, match="no left waist"):
        Girth(on=day(0), site="waist", side="left", length_cm=80)


def test_a_test_says_what_a_real_change_takes():
    log = log_of(
        TestResult(on=day(on), name="Squat", value=value, unit="kg")
        for on, value in ((0, 100.0), (60, 108.0))
    )
    (one,) = form_changes(log, day(0), day(60))
    # source: worked by hand: 2.77 x 4 % of 104 kg
    assert one.least_significant == pytest.approx(11.5, abs=0.1)
    assert one.word == "no detectable change"


def test_bloods_change_only_past_the_scatter_of_a_healthy_person():
    def blood(on, value):
        return BloodTest(date=day(on), analyte="ferritin", value=value, unit="ug/L", low=30)

    (fell,) = blood_changes([blood(0, 80), blood(60, 40)], day(0), day(60))
    (same,) = blood_changes([blood(0, 50), blood(60, 40)], day(0), day(60))
    # source: worked by hand: 2.77 x 15 % of 60 is 25, of 45 is 19
    assert (fell.word, same.word) == ("less", "no detectable change")
    assert blood_changes([blood(0, 80), blood(20, 40)], day(0), day(60)) == ()


def test_feelings_say_when_they_changed_within_the_phase():
    words = felt_words(log_of(feelings(BAD, GOOD)), day(10), day(62))
    assert "sleep averaged" in words
    assert "in the first half" in words


def thighs(*lengths):
    return log_of(
        Girth(on=day(21 * i), site="thigh", side=side, length_cm=cm)
        for i, cm in enumerate(lengths)
        for side in ("left", "right")
    )


def ferritin(*values):
    return tuple(
        BloodTest(analyte="ferritin", value=value, unit="ug/L", low=15, date=day(42 * i))
        for i, value in enumerate(values)
    )


def test_a_thinner_limb_is_a_sign_once_for_both_sides():
    # source: worked by hand: 1.96 x sqrt(2) x 0.5 cm is 1.4 cm
    assert thinner_limbs(thighs(58.0, 57.8, 56.2), day(50)) == ["the thigh is thinner"]
    assert thinner_limbs(thighs(58.0, 57.8, 56.8), day(50)) == []
    assert thinner_limbs(thighs(58.0), day(50)) == []


def test_a_blood_value_has_to_fall_by_more_than_its_scatter():
    # source: worked by hand: 1.96 x sqrt(2) x 0.15 x 40 is 16.6, of 45 two fifths less
    assert falling_bloods(ferritin(50, 30), day(60)) == ["ferritin is down"]
    assert falling_bloods(ferritin(45, 36), day(60)) == []
    assert falling_bloods(ferritin(50, 30), day(400)) == []


def test_limb_blood_and_mood_together_send_to_a_physician():
    moods = feelings({"mood": 2}, {"mood": 4})
    log = log_of([*moods, *thighs(58.0, 57.0, 56.0).entries])
    found = check_signs(log, day(62), None, ferritin(50, 30))
    assert "mood is lower, the thigh is thinner and ferritin is down" in found[0].message
    assert "physician" in found[0].see
