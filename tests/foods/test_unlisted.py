"""Foods the release does not list: recipes add up, surveys hang together, allergens carry over."""

from __future__ import annotations

import pytest

from foods.composition.catalogue import Catalogue
from foods.composition.table import FoodTable
from foods.composition.unlisted.recipes import HEAT_LABILE, Made, made_composition, unlisted_foods

CATALOGUE = Catalogue.load()
TABLE = FoodTable.load()
MADE, SURVEYED = unlisted_foods()

each_made = pytest.mark.parametrize("made", MADE, ids=lambda made: made.food)
each_survey = pytest.mark.parametrize("food", SURVEYED, ids=lambda food: food.food)


def amounts(made: Made) -> dict[str, float]:
    return dict(made_composition(made, TABLE, CATALOGUE.imputations)["measured"])


def test_every_food_without_a_number_says_where_its_numbers_come_from():
    unnumbered = {food.key for food in CATALOGUE if food.ndb is None}
    assert unnumbered == {made.food for made in MADE} | {food.food for food in SURVEYED}
    for key in unnumbered:
        known = CATALOGUE.own[key]
        assert known.basis in ("recipe", "survey")
        assert known.source.startswith(("worked out by recipe: ", "survey of "))


@each_made
def test_a_recipe_is_of_plant_foods_whose_values_are_kept(made):
    for ndb in made.parts:
        verdict = TABLE.food(ndb).plant_based
        assert verdict in ("yes", "label")
        if verdict == "label":
            assert CATALOGUE.food(made.food).plant_label


@each_made
def test_a_made_food_carries_the_allergens_of_all_its_parts(made):
    numbers = {food.ndb: food for food in CATALOGUE if food.ndb is not None}
    held = {word for ndb in made.parts if ndb in numbers for word in numbers[ndb].allergens}
    assert held <= set(CATALOGUE.food(made.food).allergens)


@each_made
def test_a_recipe_loses_water_only_and_no_more_than_it_has(made):
    water = sum(TABLE.per_100g(ndb).get("water_g", 0) * g / 100 for ndb, g in made.parts.items())
    lost = sum(made.parts.values()) - made.weight_g
    assert 0 <= lost <= water


@each_made
def test_a_recipe_holds_the_energy_of_its_parts(made):
    # source: worked by hand (energy is conserved: nothing but water leaves the pan)
    parts = sum(TABLE.per_100g(ndb)["energy_kcal"] * g / 100 for ndb, g in made.parts.items())
    assert amounts(made)["energy_kcal"] * made.weight_g / 100 == pytest.approx(parts)


def test_muesli_adds_up_by_hand():
    # source: worked by hand from SR28 protein: oats 13.15, shredded wheat 11.37, raisins 3.07,
    # hazelnuts 14.95, almonds 21.15, sunflower 20.78, flax 18.29 g/100 g:
    # 0.54*13.15 + 0.12*11.37 + 0.16*3.07 + 0.06*14.95 + 0.04*21.15 + 0.06*20.78 + 0.02*18.29
    muesli = next(made for made in MADE if made.food == "muesli")
    assert amounts(muesli)["protein_g"] == pytest.approx(12.31, abs=0.01)


def test_seitan_by_recipe_has_the_protein_its_packets_state():
    # source: published (label range of plain seitan, 19 to 28 g protein in 100 g)
    seitan = next(made for made in MADE if made.food == "seitan_ready")
    assert 19 <= amounts(seitan)["protein_g"] <= 28


def test_vitamins_that_heat_destroys_are_missing_from_what_was_heated():
    assert any(made.heated for made in MADE)
    for made in MADE:
        assert not (made.heated and set(HEAT_LABILE) & set(amounts(made)))


def test_a_nutrient_that_a_large_part_lacks_is_missing_and_not_zero():
    # source: published (SR28: falafel 16138 has no fibre value, oats 08120 has)
    mixed = {"16138": 50.0, "08120": 50.0}
    found = amounts(Made(food="x", weight_g=100, parts=mixed, basis="half falafel and half oats"))
    assert "fibre_g" not in found
    assert "protein_g" in found


def test_amino_acids_are_known_although_oil_and_salt_have_none():
    granola = next(made for made in MADE if made.food == "granola")
    assert "lysine_g" in amounts(granola)


@each_survey
def test_what_products_declare_hangs_together(food):
    # source: published (21 CFR 101.9: energy within a fifth of 4-4-9; fibre counts 0 to 4 kcal)
    known = food.per_100g
    if {"protein_g", "fat_g", "carbohydrate_g"} <= set(known):
        most = 4 * known["protein_g"] + 9 * known["fat_g"] + 4 * known["carbohydrate_g"]
        least = most - 4 * known.get("fibre_g", 0)
        assert 0.8 * least <= known["energy_kcal"] <= 1.2 * most
        assert known["protein_g"] + known["fat_g"] + known["carbohydrate_g"] <= 101
    assert known.get("saturated_fat_g", 0) <= known.get("fat_g", 100)
    assert known.get("sugars_g", 0) <= known.get("carbohydrate_g", 100)
    assert set(food.sd) <= set(known)


# source: published (Gorissen, Amino Acids 50:1685, 2018, table 1: sums of indispensable amino
# acids without tryptophan, pea 23.6 g and brown rice 22.1 g in 100 g)
@pytest.mark.parametrize(("key", "total"), [("pea_protein", 23.6), ("rice_protein", 22.1)])
def test_isolates_hold_the_amino_acids_that_were_measured(key, total):
    known = CATALOGUE.own[key].per_100g
    indispensable = ("threonine_g", "methionine_g", "phenylalanine_g", "histidine_g", "lysine_g",
                     "valine_g", "isoleucine_g", "leucine_g")  # fmt: skip
    assert sum(known[acid] for acid in indispensable) == pytest.approx(total, abs=0.15)
    assert "tryptophan_g" not in known


def test_imputed_acids_stand_beside_and_never_among_the_known():
    for known in CATALOGUE.own.values():
        for key in known.imputed_per_100g:
            assert key not in known.per_100g or key.count("_") == 2
