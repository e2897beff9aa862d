import csv
from functools import partial
from importlib.resources import files
from typing import get_args

import pytest
from hypothesis import given
from hypothesis import strategies as st

from mealplan.errors import TargetError
from mealplan.nutrition.amino_acids import (
    INDISPENSABLE,
    Pattern,
    crude_protein_g,
    digestibility,
    digestibility_default,
    minimums_g,
    pattern_source,
    requirement_mg_per_kg,
    scoring_pattern_mg_per_g,
)
from mealplan.nutrition.protein_score import ProteinPart, food_part, score_protein
from mealplan.references.uptake_tables import digestibility_defaults

pdcaas = partial(score_protein, "PDCAAS")
diaas = partial(score_protein, "DIAAS")

PATTERNS = get_args(Pattern)


@st.composite
def parts(draw: st.DrawFn) -> ProteinPart:
    protein_g = draw(st.floats(0.5, 80))
    content = draw(st.lists(st.floats(0.002, 0.2), min_size=9, max_size=9))
    return ProteinPart(
        protein_g=protein_g,
        nitrogen_factor=draw(st.sampled_from([5.18, 5.46, 5.7, 5.83, 5.95, 6.25])),
        amino_acids_g={
            key: share * protein_g for key, share in zip(INDISPENSABLE, content, strict=True)
        },
        digestibility=draw(st.floats(0.3, 1.0)),
    )


def scaled(part: ProteinPart, factor: float) -> ProteinPart:
    return ProteinPart(
        part.protein_g * factor,
        part.nitrogen_factor,
        {key: amount * factor for key, amount in part.amino_acids_g.items()},
        part.digestibility,
    )


@given(mix=st.lists(parts(), min_size=1, max_size=4), factor=st.floats(0.1, 20))
def test_scores_do_not_change_when_the_mixture_is_scaled(
    mix: list[ProteinPart], factor: float
) -> None:
    bigger = [scaled(part, factor) for part in mix]
    assert pdcaas(bigger).untruncated == pytest.approx(pdcaas(mix).untruncated)
    assert diaas(bigger).value == pytest.approx(diaas(mix).value)


@given(mix=st.lists(parts(), min_size=2, max_size=4))
def test_a_mixture_never_scores_below_its_weakest_part(mix: list[ProteinPart]) -> None:
    # For PDCAAS this follows from the Cauchy-Schwarz inequality, for DIAAS from averaging.
    weakest = min(pdcaas([part]).untruncated for part in mix)
    assert pdcaas(mix).untruncated >= weakest * (1 - 1e-9)
    assert diaas(mix).value >= min(diaas([part]).value for part in mix) * (1 - 1e-9)


@given(mix=st.lists(parts(), min_size=1, max_size=3))
def test_pdcaas_is_truncated_at_one_and_diaas_is_not(mix: list[ProteinPart]) -> None:
    score = pdcaas(mix)
    assert score.value == min(1.0, score.untruncated)
    assert diaas(mix).value == diaas(mix).untruncated


@given(mix=st.lists(parts(), min_size=1, max_size=3))
def test_the_limiting_amino_acid_has_the_lowest_ratio(mix: list[ProteinPart]) -> None:
    for score in (pdcaas(mix), diaas(mix)):
        assert score.ratios[score.limiting] == min(score.ratios.values())


# source: worked by hand (two foods, each short of what the other has: both halves reach 1.0)
def test_complementary_proteins_can_score_above_both() -> None:
    low_lysine = ProteinPart(10, 6.25, {"lysine_g": 0.24, "methionine_cystine_g": 0.345}, 1.0)
    low_sulphur = ProteinPart(10, 6.25, {"lysine_g": 0.72, "methionine_cystine_g": 0.115}, 1.0)
    over = ("lysine_g", "methionine_cystine_g")

    def scored(*parts):
        score = pdcaas(parts, over=over)
        return score.ratios[score.limiting]

    alone = [scored(part) for part in (low_lysine, low_sulphur)]
    assert alone == pytest.approx([0.5, 0.5])
    assert scored(low_lysine, low_sulphur) == pytest.approx(1.0)


def test_an_unknown_amino_acid_makes_the_score_a_lower_bound() -> None:
    known = ProteinPart(10, 6.25, {"lysine_g": 0.6}, 1.0)
    unknown = ProteinPart(10, 6.25, {}, 1.0)
    score = pdcaas([known, unknown], {"lysine_g": 48})
    assert score.known_fraction == {"lysine_g": pytest.approx(0.5)}
    assert score.lower_bound
    assert not pdcaas([known], {"lysine_g": 48}).lower_bound


# source: worked by hand (cystine unmeasured: 0.3 g of methionine alone is all that counts)
def test_a_pair_with_one_member_measured_counts_but_is_not_known() -> None:
    food = {"protein_g": 10.0, "methionine_g": 0.3, "methionine_cystine_g": 0.3, "lysine_g": 0.6}
    part = food_part(food, 50, None)
    assert part.amino_acids_g["methionine_cystine_g"] == pytest.approx(0.15)
    assert pdcaas([part], over=("methionine_cystine_g",)).known_fraction == {
        "methionine_cystine_g": 0.0
    }
    assert pdcaas([part], over=("lysine_g",)).known_fraction == {"lysine_g": pytest.approx(1.0)}


def test_a_food_without_protein_value_cannot_be_a_part() -> None:
    with pytest.raises(TargetError, match="protein_g is missing"):
        food_part({"lysine_g": 1.0}, 100, 6.25)


# source: published (WHO/FAO/UNU 2007, adult requirements: lysine 30, leucine 39, valine 26 mg/kg)
def test_average_minimums_follow_body_mass() -> None:
    grams = minimums_g("WHO2007", 70, level="average")
    assert grams["lysine_g"] == pytest.approx(2.1)
    assert grams["leucine_g"] == pytest.approx(2.73)
    assert grams["valine_g"] == pytest.approx(1.82)


# source: worked by hand (30 mg/kg x 0.83 / 0.66 x 70 kg)
def test_safe_minimums_scale_as_the_safe_level_of_protein_does() -> None:
    assert minimums_g("WHO2007", 70)["lysine_g"] == pytest.approx(2.6409, abs=1e-4)


# source: published (IOM 2005: lysine EAR 31, RDA 38 mg/kg)
def test_iom_publishes_its_own_safe_level() -> None:
    assert requirement_mg_per_kg("IOM2005")["lysine_g"] == 31
    assert requirement_mg_per_kg("IOM2005", level="safe")["lysine_g"] == 38


# source: worked by hand (48 mg/g x 0.83 g/kg x 70 kg)
def test_patterns_by_gram_use_the_safe_level_of_protein_when_no_target_is_given() -> None:
    assert minimums_g("FAO2013", 70)["lysine_g"] == pytest.approx(2.7888)


# source: worked by hand (45 mg/g x 120 g)
def test_a_protein_target_asks_for_full_quality_of_all_of_it() -> None:
    assert minimums_g("WHO2007", 70, 120)["lysine_g"] == pytest.approx(5.4)
    assert minimums_g("FAO2013", 70, 120)["lysine_g"] == pytest.approx(5.76)


@given(pattern=st.sampled_from(PATTERNS), mass=st.floats(30, 200), more=st.floats(0.1, 50))
def test_minimums_rise_with_body_mass(pattern: str, mass: float, more: float) -> None:
    light, heavy = minimums_g(pattern, mass), minimums_g(pattern, mass + more)
    assert tuple(light) == INDISPENSABLE
    assert all(heavy[key] > light[key] for key in INDISPENSABLE)


@given(pattern=st.sampled_from(PATTERNS), mass=st.floats(40, 120), protein_g=st.floats(20, 300))
def test_a_protein_target_never_lowers_a_minimum_by_body_mass(
    pattern: str, mass: float, protein_g: float
) -> None:
    if pattern in ("WHO2007", "IOM2005"):
        alone, target = minimums_g(pattern, mass), minimums_g(pattern, mass, protein_g)
        assert all(target[key] >= alone[key] for key in INDISPENSABLE)


# source: from memory (WHO/FAO/UNU 2007, 15 to 18 and 11 to 14 years)
@pytest.mark.parametrize(("age", "lysine"), [(16, 33), (14, 35), (18, 33), (19, 30)])
def test_adolescents_need_more_per_kg(age: int, lysine: float) -> None:
    assert requirement_mg_per_kg("WHO2007", age)["lysine_g"] == lysine


def test_the_adult_band_stands_in_where_a_publication_has_no_younger_one() -> None:
    assert requirement_mg_per_kg("IOM2005", 16) == requirement_mg_per_kg("IOM2005", 30)
    assert scoring_pattern_mg_per_g("FAOWHO1991", 30)["lysine_g"] == 58


@pytest.mark.parametrize("pattern", ["WHO2007"])
def test_requirement_over_scoring_pattern_gives_the_protein_requirement(pattern: str) -> None:
    # Both tables state the same need, once per kg and once per gram of 0.66 g/kg of protein;
    # printed values are rounded, so tryptophan (4 over 6) may differ by a third of a milligram.
    per_gram = scoring_pattern_mg_per_g(pattern)
    for key, per_kg in requirement_mg_per_kg(pattern).items():
        assert per_kg / 0.66 == pytest.approx(per_gram[key], abs=0.8), key


# source: published (FAO/WHO/UNU 1985 and FAO/WHO 1991, 2 to 5 years)
def test_the_1991_pattern_is_that_of_the_preschool_child() -> None:
    values = list(scoring_pattern_mg_per_g("FAOWHO1991").values())
    assert values == [19, 28, 66, 58, 25, 63, 34, 11, 35]


# source: published (IOM 2005, pattern for 1 year and older)
def test_the_iom_pattern_asks_for_more_lysine_than_that_of_who() -> None:
    values = list(scoring_pattern_mg_per_g("IOM2005").values())
    assert values == [18, 25, 55, 51, 25, 47, 27, 7, 32]
    assert values[3] > scoring_pattern_mg_per_g("WHO2007")["lysine_g"] == 45


def test_only_mean_requirements_are_missing_from_patterns_by_gram() -> None:
    with pytest.raises(TargetError, match="per gram of protein"):
        requirement_mg_per_kg("FAO2013")


def test_pattern_source_names_the_weakest_provenance() -> None:
    assert pattern_source("FAO2013") == ("FAO 2013, Food and Nutrition Paper 92", "published")
    assert pattern_source("WHO2007")[1] == "worked by hand"
    assert pattern_source("WHO2007", 16)[1] == "confirmed by independent transcription"


# source: published (Kashyap 2019, human ileal: chickpea 0.745, yellow pea 0.715, mung bean 0.63)
@pytest.mark.parametrize(
    ("protein_class", "strict"), [("chickpeas", 0.745), ("split_peas", 0.715), ("mung_beans", 0.63)]
)
def test_strict_mode_uses_human_ileal_values_of_pulses(protein_class: str, strict: float) -> None:
    assert digestibility(protein_class, "strict") == strict


@pytest.mark.parametrize("protein_class", sorted(digestibility_defaults()))
def test_strict_digestibility_never_exceeds_the_usual_one(protein_class: str) -> None:
    usual, strict = digestibility(protein_class), digestibility(protein_class, "strict")
    assert 0.3 < strict <= usual <= 1


# source: published (WHO/FAO/UNU 2007 human balance means, PMC6900003 table 1)
@pytest.mark.parametrize(
    ("protein_class", "faecal"),
    [
        ("wheat_whole", 0.86),
        ("wheat_white", 0.96),
        ("maize", 0.85),
        ("rice_white", 0.88),
        ("oats", 0.86),
    ],
)
def test_default_digestibility_is_the_published_human_mean(
    protein_class: str, faecal: float
) -> None:
    row = digestibility_default(protein_class)
    assert (row.faecal, row.provenance) == (faecal, "published")


def test_every_class_the_kitchen_catalogue_uses_has_a_digestibility() -> None:
    text = files("foods").joinpath("data/catalogue.csv").read_text(encoding="utf-8")
    used = {row["digestibility_class"] for row in csv.DictReader(text.splitlines())} - {""}
    assert used <= set(digestibility_defaults())


@pytest.mark.parametrize(
    ("call", "hint"),
    [
        (lambda: crude_protein_g(10, 4), "check the food's row"),
        (lambda: scoring_pattern_mg_per_g("EGG"), "choose one of WHO2007"),
        (lambda: minimums_g("WHO2007", 0), "must be above 0"),
        (lambda: minimums_g("WHO2007", 70, -1), "or left out"),
        (lambda: digestibility("sawdust"), "mixed_plant_default"),
        (lambda: ProteinPart(-1, 6.25, {}, 1), "negative"),
        (lambda: ProteinPart(1, 6.25, {}, 86), "as a fraction"),
        (lambda: ProteinPart(1, 6.25, {}, 0.9, {"lysine_g": 90}), "as a fraction"),
        (lambda: pdcaas([]), "hold none"),
        (lambda: pdcaas([ProteinPart(1, 6.25, {}, 1)], over=("glycine_g",)), "holds none of"),
    ],
)
def test_impossible_input_says_how_to_mend_it(call, hint: str) -> None:
    with pytest.raises(TargetError, match=hint):
        call()
