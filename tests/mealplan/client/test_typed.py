"""Quantities and training as people write them are read as meant, or asked about."""

import pytest

from mealplan.client.training_words import WORDS, find_sport, read_sessions
from mealplan.client.typed import read_quantity
from mealplan.errors import IntakeError
from mealplan.physiology.expenditure.exercise import activities


# source: worked by hand from the international pound 0.45359237 kg, the inch 2.54 cm, a stone of
# 14 pounds, a foot of 12 inches and 4.184 kJ a kilocalorie
@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        ("weight_kg", "62", 62), ("weight_kg", "62 kg", 62), ("weight_kg", "62,5kg", 62.5),
        ("weight_kg", "62,500", 62.5), ("weight_kg", "156 lb", 70.760),
        ("weight_kg", "11 st 4", 71.668), ("weight_kg", "11st 4lb", 71.668),
        ("weight_kg", "11 stone", 69.853), ("weight_kg", "11.5 st", 73.028),
        ("height_cm", "170", 170), ("height_cm", "1,70 m", 170), ("height_cm", "1.70", 170),
        ("height_cm", "1m70", 170), ("height_cm", "5 ft 7", 170.18), ("height_cm", "5'7\"", 170.18),
        ("height_cm", "5 foot 7 in", 170.18), ("height_cm", "67 inches", 170.18),
        ("scan.fat_percent", "18,5 %", 18.5), ("scan.fat_percent", "18.5 percent", 18.5),
        ("resting_test.kcal", "1 420 kcal", 1420), ("resting_test.kcal", "1,420", 1420),
        ("resting_test.kcal", "1.420 kcal", 1420), ("resting_test.kcal", "5941 kJ", 1419.9),
        ("goal.change_kg", "-3 kg", -3), ("goal.change_kg", "−3", -3),
        ("goal.change_kg", "lose 3 kg", -3), ("goal.change_kg", "+2,5", 2.5),
        ("goal.surplus_kcal", "-300 kcal a day", -300), ("goal.weeks", "12 weeks", 12),
        ("girths.waist_cm", "32 in", 81.28), ("girths.waist_cm", "0,82 m", 82),
        ("age_years", "28 years old", 28), ("activity.everyday_factor", "1,3", 1.3),
        ("minutes", "1 h 15", 75), ("minutes", "90 minutes", 90),
    ],
)  # fmt: skip
def test_words_and_units_are_read_as_written(field, text, value):
    assert read_quantity(field, text).value == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("weight_kg", "620 kg"), ("weight_kg", "sixty"), ("weight_kg", "10 st 14"),
        ("weight_kg", ""), ("weight_kg", "62 cm"), ("weight_kg", "1,062 kg"),
        ("height_cm", "5.7"), ("height_cm", "17"), ("scan.fat_percent", "0,185"),
        ("resting_test.kcal", "14"), ("weight_kg", "62 63 64"), ("weight_kg", "-62"),
        ("goal.change_kg", "1.2.3"), ("weight_kg", "9" * 2000),
    ],
)  # fmt: skip
def test_what_nobody_could_have_says_how_to_write_it(field, text):
    with pytest.raises(IntakeError, match=r"write|holds") as caught:
        read_quantity(field, text)
    assert "_" not in str(caught.value)


def test_what_was_read_is_shown_back_in_the_fields_unit():
    assert read_quantity("weight_kg", "11 st 4").shown == "71.67 kg"


@pytest.mark.parametrize(
    ("words", "code"),
    [("easy run", "12029"), ("Intervals", "12090"), ("tempo run", "12070"), ("strength", "02054"),
     ("run easy", "12029"), ("02054", "02054"), ("gym session", "02054"),
     ("underwater basket", None), ("", None)],
)  # fmt: skip
def test_sports_are_found_by_words(words, code):
    found = find_sport(words)
    assert (found.code if found else None) == code


@pytest.mark.parametrize("words", sorted(WORDS))
def test_every_word_names_a_row_of_the_compendium(words):
    assert WORDS[words] in activities()
    assert find_sport(words).code == WORDS[words]


def test_a_harder_word_never_costs_less():
    costs = [find_sport(words).met for words in ("easy run", "run", "tempo run", "intervals")]
    assert costs == sorted(costs)


@pytest.mark.parametrize(
    ("line", "session"),
    [
        ("mon, 17:30, 02054, 60, hard",
         {"day": "mon", "time": "17:30", "activity": "02054", "minutes": 60, "load": "hard"}),
        ("Tuesday strength 1 h hard",
         {"day": "tue", "activity": "02054", "minutes": 60, "load": "hard"}),
        ("sat long run 1h30", {"day": "sat", "activity": "12050", "minutes": 90}),
        ("thu 6pm spin class 45 min",
         {"day": "thu", "time": "18:00", "activity": "02019", "minutes": 45}),
        ("thursday 18.30 gym 75min very hard",
         {"day": "thu", "time": "18:30", "activity": "02054", "minutes": 75, "load": "very hard"}),
        ("mon underwater hockey 60",
         {"day": "mon", "activity": "underwater hockey", "minutes": 60}),
    ],
)  # fmt: skip
def test_a_line_of_the_training_week_is_read_as_written(line, session):
    assert read_sessions(line) == [session]


@pytest.mark.parametrize("line", ["easy run 45", "mon", "mon easy run", "mon 45", "x" * 5000])
def test_a_line_without_day_sport_or_length_says_how_to_write_it(line):
    with pytest.raises(IntakeError, match=r"write"):
        read_sessions(line)


@pytest.mark.parametrize(
    ("line", "days"),
    [
        ("Gym mon/wed/fri 1 hr", ["mon", "wed", "fri"]),
        ("easy run 45 min tue 7am", ["tue"]),
        ("spinning Tue + Thu 18:30 (50 min)", ["tue", "thu"]),
        ("boxing 18:00 90 min mon to fri", ["mon", "tue", "wed", "thu", "fri"]),
        ("walk 30 min daily", ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]),
    ],
)
def test_days_stand_anywhere_and_may_be_several(line, days):
    assert [session["day"] for session in read_sessions(line)] == days
