"""Every equation can be opened and tried, and says what it is."""

import pytest

from mealplan.cli.main import main
from mealplan.errors import IntakeError, MealPlanError
from mealplan.method.entries import equation_called, equations, find_equations
from mealplan.method.working import work_out
from mealplan.physiology.resting.choice import Body, predict_all
from mealplan.science.equations import MARKS, equation

EVERY = equations()


def test_resting_equations_are_open_with_their_coefficients():
    one = equation_called("mifflin_st_jeor")
    # source: published (Mifflin et al. 1990, doi:10.1093/ajcn/51.2.241)
    assert one.coefficients[0].endswith(
        "5 + 10 × weight_kg + 6.25 × height_cm − 5 × age_years [kcal/day]"
    )
    assert "51:241" in " ".join(one.sources)
    assert one.population


def test_coefficients_of_one_equation_are_not_taken_for_anothers():
    assert len(equation_called("cunningham_1980").coefficients) == 1
    assert len(equation_called("mifflin_st_jeor").coefficients) == 2


def test_constants_stand_in_the_formula_as_numbers():
    # source: published (ACSM Guidelines for Exercise Testing: 0.2, 0.9 and 3.5)
    assert equation_called("acsm_running_vo2").formula == (
        "climb = 0.9 * speed_m_min * grade_fraction",
        "return 3.5 + 0.2 * speed_m_min + climb",
    )


@pytest.mark.parametrize("one", EVERY, ids=lambda one: one.key)
def test_every_equation_says_what_it_does_and_shows_its_formula(one):
    assert one.does.endswith(".")
    assert one.formula or one.coefficients
    assert one.inputs


def test_an_answer_is_the_functions_own():
    # source: worked by hand from the published coefficients
    answer = work_out(
        equation_called("mifflin_st_jeor"),
        {"weight_kg": "70", "height_cm": "175", "age_years": "30", "sex": "male"},
    )
    assert answer == ("1648.75   Resting energy. [kcal/day]",)


def test_an_answer_of_parts_names_each():
    answer = work_out(
        equation_called("compartments_from_percent"),
        {"weight_kg": "80", "fat_percent": "15", "definition": "whole body", "bone_kg": "3"},
    )
    assert any(line.startswith("fat") and line.endswith(" 12") for line in answer)


@pytest.mark.parametrize(
    ("typed", "says"),
    [
        ({"ffm_kg": "sixty"}, "not a number"),
        ({"ffm_kg": "nan"}, "finite"),
        ({"ffm_kg": "1" * 50}, "longer than"),
        ({}, "also needs ffm_kg"),
        ({"ffm_kg": "60", "colour": "1"}, "no input 'colour'"),
    ],
)
def test_a_bad_input_says_what_to_mend(typed, says):
    with pytest.raises(IntakeError, match=says):
        work_out(equation_called("cunningham_1980"), typed)


@pytest.mark.parametrize("number", ["0", "-1", "1e308", "1e-308"])
def test_odd_numbers_are_answered_or_refused_and_nothing_else(number):
    answered = refused = 0
    for one in EVERY:
        typed = {given.name: given.choices[0] if given.choices else number for given in one.inputs}
        try:
            answered += bool(work_out(one, typed))
        except MealPlanError:
            refused += 1
    assert answered + refused == len(EVERY)


def test_two_equations_cannot_share_a_name():
    with pytest.raises(ValueError, match="owen"):
        equation("resting energy")(MARKS["owen"].function)


def test_words_find_by_topic_and_source():
    assert {one.topic for one in find_equations("resting energy predict")} == {"resting energy"}
    assert find_equations("no-such-thing") == ()


def test_the_command_lists_opens_and_works_out(capsys):
    assert main(["method", "running"]) == 0
    assert "acsm_running_vo2" in capsys.readouterr().out
    assert main(["method", "cunningham_1980", "ffm_kg=60"]) == 0
    # source: published (Cunningham 1980: 500 + 22 x fat-free mass)
    assert capsys.readouterr().out.startswith("1820 ")
    assert main(["method", "unheard-of"]) == 3


def test_the_choice_of_resting_equation_reads_this_list():
    body = Body("male", 30, 80, 180, ffm_kg=66, fm_kg=14, ffm_method="dxa", sessions_per_week=5)
    listed = {one.key: one for one in equations() if one.topic == "resting energy"}
    for found in predict_all(body):
        said = listed[found.key]
        # One entry: what the page works out is what the choice compares, from the same source.
        typed = {one.name: str(KNOWN[one.name]) for one in said.inputs}
        [answer] = work_out(said, typed)
        assert float(answer.split()[0]) == pytest.approx(found.energy_kcal, rel=1e-5)
        assert any(found.source in source for source in said.sources)
        assert found.note.removeprefix("fitted on ").split(";")[0] in said.population


KNOWN = {
    "weight_kg": 80,
    "height_cm": 180,
    "age_years": 30,
    "ffm_kg": 66,
    "fm_kg": 14,
    "sex": "male",
}


@pytest.mark.parametrize(
    ("key", "typed", "said"),
    [
        ("mifflin_st_jeor", {"weight_kg": "-70"}, "weight_kg=-70 is negative"),
        ("body_mass_index", {"weight_kg": "-70", "height_cm": "180"}, "negative"),
        ("body_mass_index", {"weight_kg": "0", "height_cm": "180"}, "no body's"),
        ("salt_g", {"sodium_mg": "-1"}, "negative"),
    ],
)
def test_an_impossible_amount_is_refused_in_words(key, typed, said):
    one = equation_called(key)
    given = {i.name: str(KNOWN.get(i.name, 1)) for i in one.inputs if i.needed} | typed
    with pytest.raises(IntakeError, match=said):
        work_out(one, given)


def test_a_change_may_be_negative():
    one = equation_called("rule_7700_change_kg")
    assert work_out(one, {"intake_change_kcal": "-500", "days": "7"})[0].startswith("-")
