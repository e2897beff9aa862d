"""Grain and legume proteins mend each other's weakness, in the table's own figures."""

from __future__ import annotations

import pytest

from foods.composition.catalogue import Catalogue
from foods.composition.table import FoodTable

TABLE = FoodTable.load()
CATALOGUE = Catalogue.load()

# source: published (WHO/FAO/UNU 2007, TRS 935: adult requirement, mg per g of protein)
LYSINE, SULPHUR = 45.0, 22.0

PAIRS = [
    ("rice_white_cooked", "black_beans_cooked"),
    ("rice_brown_cooked", "lentils_cooked"),
    ("bulgur_cooked", "chickpeas_cooked"),
    ("pasta_cooked", "white_beans_cooked"),
    ("tortilla_corn", "pinto_beans_cooked"),
    ("barley_pearl_cooked", "split_peas_cooked"),
]


def per_protein(grams: dict[str, float], key: str) -> float:
    """Milligrams of an amino-acid group in a gram of the mixture's protein."""
    amino = protein = 0.0
    for food, amount in grams.items():
        values = TABLE.per_100g(CATALOGUE.food(food).ndb)
        amino += values[key] * amount / 100
        protein += values["protein_g"] * amount / 100
    return 1000 * amino / protein


def score(grams: dict[str, float]) -> float:
    """Share of the adult requirement that the scarcer of the two groups reaches."""
    return min(
        per_protein(grams, "lysine_g") / LYSINE,
        per_protein(grams, "methionine_cystine_g") / SULPHUR,
    )


def equal_protein(grain: str, legume: str) -> dict[str, float]:
    """Amounts that bring as much protein from the one as from the other."""
    return {
        food: 1000 / TABLE.per_100g(CATALOGUE.food(food).ndb)["protein_g"]
        for food in (grain, legume)
    }


@pytest.mark.parametrize(("grain", "legume"), PAIRS)
def test_grain_alone_is_short_of_lysine(grain, legume):
    # source: published (Young and Pellett 1994, Am J Clin Nutr 59(suppl):1203S, table 5)
    assert per_protein({grain: 100}, "lysine_g") < LYSINE
    assert per_protein({grain: 100}, "methionine_cystine_g") > SULPHUR


@pytest.mark.parametrize(("grain", "legume"), PAIRS)
def test_legume_alone_is_rich_in_lysine_and_poorer_in_sulphur_amino_acids(grain, legume):
    # source: published (Young and Pellett 1994, Am J Clin Nutr 59(suppl):1203S, table 5)
    assert per_protein({legume: 100}, "lysine_g") > LYSINE
    assert per_protein({legume: 100}, "methionine_cystine_g") < per_protein(
        {grain: 100}, "methionine_cystine_g"
    )


@pytest.mark.parametrize(("grain", "legume"), PAIRS)
def test_together_they_beat_the_grain_on_lysine_and_the_legume_on_sulphur(grain, legume):
    both = equal_protein(grain, legume)
    assert per_protein(both, "lysine_g") > per_protein({grain: 100}, "lysine_g")
    assert per_protein(both, "methionine_cystine_g") > per_protein(
        {legume: 100}, "methionine_cystine_g"
    )


@pytest.mark.parametrize(("grain", "legume"), PAIRS)
def test_some_mixture_scores_at_least_as_high_as_either_alone(grain, legume):
    best = max(
        score({grain: share * g, legume: (1 - share) * other})
        for g, other in [tuple(equal_protein(grain, legume).values())]
        for share in [n / 20 for n in range(1, 20)]
    )
    assert best > score({grain: 100})
    assert best >= score({legume: 100})


@pytest.mark.parametrize(("grain", "legume"), PAIRS)
def test_at_equal_protein_the_mixture_meets_both_adult_requirements_nearly(grain, legume):
    # source: published (WHO/FAO/UNU 2007: requirement is 1; digestibility is left aside here)
    assert score(equal_protein(grain, legume)) > 0.95
