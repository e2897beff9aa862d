import pytest

from mealplan.nutrition.reference_intakes import all_reference_intakes, reference_intake
from mealplan.nutrition.upper_limits import counted_amount, limit_findings

EVERY = tuple(all_reference_intakes("female", 30).values())


# source: published (NASEM 2019, tables of upper levels: what each limit counts)
@pytest.mark.parametrize(
    "food",
    [
        {"magnesium_mg": 1112.0},
        {"vitamin_a_rae_ug": 20_000.0, "retinol_ug": 0.0},
        {"folate_dfe_ug": 1400.0, "folic_acid_ug": 0.0},
        {"niacin_ne_mg": 60.0, "niacin_mg": 40.0},
        {"vitamin_e_mg": 1200.0},
        {"potassium_mg": 9000.0},
    ],
)
def test_plant_food_alone_does_not_pass_limits_set_for_other_forms(food: dict[str, float]) -> None:
    assert limit_findings(EVERY, food) == ()


# source: published (selenium 400, zinc 40, folic acid 1,000, added niacin 35, added magnesium 350)
@pytest.mark.parametrize(
    ("food", "supplements", "nutrient", "counted"),
    [
        ({"selenium_ug": 402.0}, {}, "selenium_ug", 402),
        ({"zinc_mg": 30.0}, {"zinc_mg": 15.0}, "zinc_mg", 45),
        ({"folic_acid_ug": 800.0}, {"folic_acid_ug": 400.0}, "folate_dfe_ug", 1200),
        ({"niacin_mg": 40.0}, {"niacin_mg": 50.0}, "niacin_ne_mg", 50),
        ({"magnesium_mg": 500.0}, {"magnesium_mg": 400.0}, "magnesium_mg", 400),
    ],
)
def test_what_counts_is_compared_with_the_limit(
    food: dict[str, float], supplements: dict[str, float], nutrient: str, counted: float
) -> None:
    [finding] = limit_findings(EVERY, food, supplements)
    assert (finding.nutrient, finding.counted, finding.strength) == (nutrient, counted, "hard")
    assert f"{finding.limit:g}" in finding.text


# source: common practice (manganese above 11 mg warns and steers, it does not forbid)
def test_manganese_is_soft() -> None:
    [finding] = limit_findings(EVERY, {"manganese_mg": 16.0})
    assert finding.strength == "soft"


def test_an_amount_at_the_limit_is_not_above_it() -> None:
    assert limit_findings(EVERY, {"zinc_mg": 40.0}) == ()


def test_a_nutrient_without_limit_counts_nothing() -> None:
    assert counted_amount(reference_intake("thiamin_mg", "male", 30), {"thiamin_mg": 9}, {}) == 0
