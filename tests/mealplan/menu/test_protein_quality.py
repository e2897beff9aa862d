"""The day's protein score: both methods agree where they must; rice is short of lysine."""

import pytest

from foods.composition.catalogue import Catalogue
from foods.composition.table import FoodTable
from mealplan.menu.adequacy import day_protein_quality


@pytest.mark.parametrize("key", ["rice_white_cooked", "lentils_cooked", "chickpeas_cooked"])
def test_one_food_scores_the_same_by_both_methods_below_one(key):
    # source: published (FAO 2013, Paper 92: the two differ by ileal against faecal digestibility
    # and by cutting off at 1; with one digestibility for all amino acids only the cut remains)
    found = day_protein_quality({key: 200.0}, "WHO2007", 30)
    assert found.pdcaas == pytest.approx(min(1.0, found.diaas), abs=2e-3)


def test_rice_scores_as_worked_by_hand():
    food = Catalogue.load().food("rice_white_cooked")
    row = FoodTable.load().per_100g(food.ndb)
    # source: worked by hand (WHO 2007 pattern for adults, lysine 45 mg/g protein; N x 6.25 from the
    # release's rice factor 5.95)
    nitrogen_protein = row["protein_g"] / 5.95 * 6.25
    by_hand = row["lysine_g"] * 1000 * food.digestibility / nitrogen_protein / 45
    found = day_protein_quality({"rice_white_cooked": 300.0}, "WHO2007", 30)
    assert found.limiting == "Lysine"
    assert found.diaas == pytest.approx(by_hand, rel=5e-3)


def test_grain_with_legume_beats_each_alone():
    # source: common practice (protein complementation)
    rice = day_protein_quality({"rice_white_cooked": 300.0}, "WHO2007", 30).diaas
    both = day_protein_quality({"rice_white_cooked": 300.0, "lentils_cooked": 150.0}, "WHO2007", 30)
    assert both.diaas > rice
