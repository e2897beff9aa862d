"""Quantities and training as people write them are read as meant, or asked about."""

import datetime as dt

import pytest

from mealplan.client.session_lines import read_sessions
from mealplan.client.training_words import WORDS, find_sport
from mealplan.client.typed import read_quantity
from mealplan.client.typed_dates import age_on, read_typed_date
from mealplan.client.typed_lists import read_clock_time, read_food_words, read_minutes_by_day
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
        ("minutes", "1 h 15", 75), ("minutes", "90 minutes", 90), ("weight_kg", "176 #", 79.832),
        ("weight_kg", "about 70", 70), ("weight_kg", "155 lb 8 oz", 70.533),
        ("weight_kg", "seventy two", 72), ("weight_kg", "70-72 kg", 71),
        ("height_cm", "5' 7 1/2\"", 171.45), ("height_cm", "five foot seven", 170.18),
        ("height_cm", "6'", 182.88), ("resting_test.kcal", "0.98 kcal/min", 1411.2),
        ("resting_test.kcal", "5,94 MJ/d", 1419.7), ("resting_test.kcal", "70 W", 1445.5),
        ("resting_test.vo2_ml_min", "0,25 L/min", 250), ("resting_test.vo2_ml_min", "0.25", 250),
        ("goal.weeks", "3 months", 13.045), ("goal.change_kg", "drop half a stone", -3.1751),
        ("goal.surplus_kcal", "deficit of 400", -400), ("sessions_per_week", "4x/week", 4),
        ("sessions_per_week", "twice a day", 14), ("kitchen.shop.budget_per_week", "€60", 60),
        ("kitchen.shop.budget_per_week", "250 a month", 57.495), ("minutes", "90'", 90),
        ("minutes", "an hour and a half", 90), ("minutes", "three quarters of an hour", 45),
        ("girths.waist_cm", "32 1/2 in", 82.55), ("sweat.rate_l_per_h", "900 ml/h", 0.9),
        ("age_years", "28 years 4 months", 28), ("resting_test.kcal", "3161 kcal", 3161),
    ],
)  # fmt: skip
def test_words_and_units_are_read_as_written(field, text, value):
    assert read_quantity(field, text).value == pytest.approx(value, rel=1e-4)


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("weight_kg", "620 kg"), ("weight_kg", "heavy"), ("weight_kg", "10 st 14"),
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


@pytest.mark.parametrize(
    ("field", "text", "asks"),
    [
        ("weight_kg", "137", "lb"), ("resting_test.kcal", "3161", "kJ"),
        ("age_years", "16", "years"),
        ("girths.waist_cm", "32", "32 in"), ("height_cm", "67", "67 in"),
        ("resting_test.kcal", "620", "800"), ("scan.fat_percent", "75 %", "60"),
        ("goal.energy_kcal", "10000", "kJ"),
    ],
)  # fmt: skip
def test_what_could_be_another_unit_is_asked_and_the_unit_settles_it(field, text, asks):
    with pytest.raises(IntakeError, match=asks):
        read_quantity(field, text)


def test_a_unit_settles_what_a_bare_number_leaves_open():
    assert read_quantity("weight_kg", "137 kg").value == 137
    assert read_quantity("weight_kg", "137 lb").value == pytest.approx(62.142, rel=1e-4)
    assert read_quantity("age_years", "16 years").value == 16


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


@pytest.mark.parametrize("line", ["mon", "mon 45", "mon run 20 min 4 s x" * 40, "mon run 2 min"])
def test_a_line_without_a_sport_says_how_to_write_it(line):
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


# source: common practice, sessions spread over the week and an hour where nothing was said
@pytest.mark.parametrize(
    ("line", "days", "minutes", "assumed"),
    [
        ("swim 3x/week, 45 min", ["mon", "wed", "fri"], 45, ["day"]),
        ("gym mon wed fri", ["mon", "wed", "fri"], 60, ["minutes"]),
        ("run every other day 40 min", ["mon", "wed", "fri", "sun"], 40, ["day"]),
        ("yoga most mornings 20 min", ["mon", "tue", "wed", "fri", "sat"], 20, ["day"]),
        ("swim 40 min", ["wed"], 40, ["day"]),
        ("run sat 10 km", ["sat"], 65, ["minutes"]),
        ("strength M/W/F 60 min", ["mon", "wed", "fri"], 60, None),
        ("wed gym 1h30", ["wed"], 90, None),
        ("boxing mon-fri 18:00-19:30", ["mon", "tue", "wed", "thu", "fri"], 90, None),
        ("mon? gym 60?", ["mon"], 60, ["day", "minutes"]),
        ("mardi natation 1h", ["tue"], 60, None),
    ],
)
def test_what_a_line_leaves_out_is_taken_as_usual_and_marked(line, days, minutes, assumed):
    sessions = read_sessions(line)
    assert [session["day"] for session in sessions] == days
    assert sessions[0]["minutes"] == minutes
    assert sessions[0].get("assumed") == assumed


@pytest.mark.parametrize(
    ("text", "clock"),
    [("6am", "06:00"), ("6:30 pm", "18:30"), ("18h", "18:00"), ("18h30", "18:30"), ("7", "07:00"),
     ("half six pm", "18:30"), ("noon", "12:00"), ("17.30", "17:30"), ("0630", "06:30")],
)  # fmt: skip
def test_clock_times_are_read_as_written(text, clock):
    assert read_clock_time(text) == clock


def test_several_sessions_in_a_line_are_several():
    found = read_sessions("mon run 45, wed gym 1h, fri swim 30 min")
    assert [(s["day"], s["minutes"]) for s in found] == [("mon", 45), ("wed", 60), ("fri", 30)]


@pytest.mark.parametrize(
    ("text", "date"),
    [
        ("2026-02-03", "2026-02-03"), ("3 Feb 2026", "2026-02-03"), ("Feb 3rd, 2026", "2026-02-03"),
        ("3.2.2026", "2026-02-03"), ("13/2/26", "2026-02-13"), ("2/13/2026", "2026-02-13"),
        ("3. Februar 2026", "2026-02-03"), ("Tuesday 3 February 2026", "2026-02-03"),
        ("3 de febrero de 2026", "2026-02-03"), ("2/2/2026", "2026-02-02"),
    ],
)  # fmt: skip
def test_dates_are_read_as_written(text, date):
    assert read_typed_date(text).isoformat() == date


@pytest.mark.parametrize("text", ["1/2/90", "03/04/2026", "next week", "31/2/2026", "2026", ""])
def test_a_date_that_may_be_two_or_none_is_asked(text):
    with pytest.raises(IntakeError, match=r"write"):
        read_typed_date(text)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("no mushrooms or aubergine pls", ["mushrooms", "aubergine"]),
        ("celiac", ["gluten"]), ("lactose", []), ("I hate olives and celery", ["olives", "celery"]),
        ("mushrooms, bell pepper", ["mushrooms", "bell pepper"]),
    ],
)  # fmt: skip
def test_foods_not_eaten_are_read_out_of_a_sentence(text, words):
    assert read_food_words(text) == words


@pytest.mark.parametrize(
    ("text", "minutes"),
    [
        ("mon 30, sat 90", {"mon": 30, "sat": 90}),
        ("weekdays 20 min, weekend 1 h", {"mon": 20, "tue": 20, "wed": 20, "thu": 20, "fri": 20,
                                          "sat": 60, "sun": 60}),
        ("half an hour", dict.fromkeys(("mon", "tue", "wed", "thu", "fri", "sat", "sun"), 30)),
    ],
)  # fmt: skip
def test_minutes_by_day_are_read_as_written(text, minutes):
    assert read_minutes_by_day(text) == minutes


# source: worked by hand, the number beside the remark
@pytest.mark.parametrize(
    ("field", "text", "value"),
    [
        ("weight_kg", "82kg with clothes", 82),
        ("height_cm", "Ht 176cm", 176),
        ("height_cm", "164 cm (no shoes)", 164),
        ("scan.fat_percent", "22% scale says", 22),
        ("scan.fat_percent", "17.4 % bioimpedance", 17.4),
        ("resting_test.kcal", "1480 calories (lab test)", 1480),
        ("age_years", "31 y.o.", 31),
        ("age_years", "just turned 40", 40),
        ("weight_kg", "71 .4 kg", 71.4),
        ("resting_test.kcal", "1.7k kcal", 1700),
        ("weight_kg", "was 80, now 76.5 kg", 76.5),
        ("weight_kg", "80 last year, 76.5 kg today", 76.5),
        ("height_cm", "5ft9 according to my passport", 175.26),
    ],
)
def test_a_remark_leaves_one_clear_number(field, text, value):
    assert read_quantity(field, text).value == pytest.approx(value)


@pytest.mark.parametrize(
    ("field", "text"),
    [
        ("weight_kg", "76 kg clothed, naked 74"),
        ("weight_kg", "was 80 kg"),
        ("weight_kg", "65kg 12% fat"),
        ("height_cm", "180cm 75kg"),
        ("weight_kg", "80 or 76"),
    ],
)
def test_numbers_that_compete_are_refused(field, text):
    with pytest.raises(IntakeError, match="write"):
        read_quantity(field, text)


# source: worked by hand
@pytest.mark.parametrize(
    ("text", "age"),
    [
        ("3 April 1992", 33),
        ("1992-02-03", 34),
        ("28/11/1991", 34),
        ("born 4 Feb 2002", 23),
        ("25.08.1979", 46),
        ("13.6.79", 46),
        ("34", None),
        ("34 years", None),
    ],
)
def test_a_birth_date_gives_the_age_on_the_first_day(text, age):
    assert age_on(text, dt.date(2026, 2, 3)) == age


@pytest.mark.parametrize("text", ["03/04/1992", "1992", "3 April 2030"])
def test_a_birth_date_that_may_be_two_or_none_is_asked(text):
    with pytest.raises(IntakeError):
        age_on(text, dt.date(2026, 2, 3))


@pytest.mark.parametrize(
    ("line", "asked"),
    [
        ("run", "how long"),
        ("Funday 45 min", "no sport known"),
        ("rest", "sun rest"),
        ("T run 45 min", "Tuesday or Thursday"),
        ("rowing machine 8 x 500 m hard", "how long"),
        ("tue track 6x800m", "how long"),
    ],
)
def test_a_line_that_leaves_too_much_to_guess_is_asked(line, asked):
    with pytest.raises(IntakeError, match=asked):
        read_sessions(line)


def test_twice_a_day_is_two_sessions():
    found = read_sessions("mon wed swim twice a day 45 min")
    assert [session["day"] for session in found] == ["mon", "mon", "wed", "wed"]


def test_metres_with_a_length_said_are_no_minutes():
    assert read_sessions("tue track 10 x 400 m, 60 min")[0]["minutes"] == 60
    assert "time" not in read_sessions("swim 1500 m wed")[0]
