"""Intake entries as people write them reach the intake as they were meant."""

import pytest

from api.forms.intake import blank, to_data
from api.forms.intake_faults import FormFaults
from mealplan.client.read import parse_intake
from mealplan.errors import IntakeError

BASE = blank() | {
    "role": ("club rower",), "sex": ("female",), "age_years": ("28",), "height_cm": ("5\'7",),
    "weight_kg": ("62 kg",), "start": ("30 Nov 2026",), "goal.phase": ("hold",),
}  # fmt: skip


def intake(**fields):
    typed = BASE | {name.replace("__", "."): (text,) for name, text in fields.items()}
    return parse_intake(to_data(typed))


def test_a_whole_form_in_peoples_words_is_an_intake():
    found = intake(
        kitchen__hands_on_min="weekdays 20 min, sat 1h",
        kitchen__meal_times="7:30, 12.30, 4pm, 19h",
        kitchen__living__cooking_days="Sunday and Wednesday",
        kitchen__people="two",
        events="triathlon, 13 June 2027, 5 h 10, 8am",
        tastes__never="no mushrooms or aubergine pls",
    )
    assert found.start.isoformat() == "2026-11-30"
    assert found.height_cm == pytest.approx(170.18)
    assert found.kitchen.hands_on_min["sat"] == 60
    assert found.kitchen.meal_times == ("07:30", "12:30", "16:00", "19:00")
    assert found.kitchen.living.cooking_days == ("sun", "wed")
    assert (found.events[0].minutes, found.events[0].time) == (310, "08:00")
    assert found.tastes.never == ("mushrooms", "aubergine")


@pytest.mark.parametrize(
    ("text", "allergens"),
    [
        ("celiac", {"gluten"}),
        ("I am allergic to peanuts and sesame", {"peanut", "sesame"}),
        ("mushrooms", set()),
    ],
)
def test_an_allergy_told_among_disliked_foods_is_kept_as_one(text, allergens):
    assert set(intake(tastes__never=text).tastes.allergies) == allergens


@pytest.mark.parametrize(
    ("field", "text"), [("start", "1/2/26"), ("weight_kg", "137"), ("age_years", "16")]
)
def test_what_may_be_two_things_is_asked_at_its_field(field, text):
    with pytest.raises(FormFaults) as caught:
        intake(**{field: text})
    assert list(caught.value.faults) == [field]


# source: worked by hand, 12 March 1990 to 30 November 2026
@pytest.mark.parametrize("text", ["12 March 1990", "born 12 Mar 1990", "1990-03-12", "12.03.1990"])
def test_a_birth_date_gives_the_age_on_page_and_json_alike(text):
    assert intake(age_years=text).age_years == 36
    data = to_data(BASE) | {"age_years": text}
    found = parse_intake(data)
    assert found.age_years == 36
    assert "1990" not in found.model_dump_json()


@pytest.mark.parametrize("text", ["03/04/1990", "1990", "12 March 2031"])
def test_a_birth_date_that_may_be_two_is_asked_on_page_and_json_alike(text):
    with pytest.raises(FormFaults):
        intake(age_years=text)
    with pytest.raises(IntakeError, match="age_years"):
        parse_intake(to_data(BASE) | {"age_years": text})
