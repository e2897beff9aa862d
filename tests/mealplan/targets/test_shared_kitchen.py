"""Words on keeping traces apart, for whom they are and for whom not."""

from __future__ import annotations

import pytest

from mealplan.targets.make import make_targets
from tests.mealplan.targets.clients import client

GLUTEN, ALLERGEN, SPICES = "gluten_cross_contact", "allergen_cross_contact", "allergen_in_spices"


@pytest.mark.parametrize(
    ("fields", "wanted"),
    [
        ({}, set()),
        ({"health": ["coeliac disease"], "tastes": {"allergies": ["gluten"]}}, {GLUTEN}),
        ({"tastes": {"allergies": ["gluten"]}}, set()),
        ({"tastes": {"allergies": ["gluten"]}, "kitchen": {"people": 2}}, {GLUTEN}),
        ({"tastes": {"allergies": ["soy"]}, "kitchen": {"people": 3}}, {ALLERGEN}),
        ({"tastes": {"allergies": ["mustard"]}}, {SPICES}),
        ({"tastes": {"allergies": ["peanut"]}, "kitchen": {"people": 2}}, {ALLERGEN, SPICES}),
    ],
)
def test_who_shares_a_kitchen_is_told_what_is_kept_apart(fields, wanted):
    # source: common practice (dietitians' leaflets for coeliac disease and food allergy)
    said = {notice.code for notice in make_targets(client(**fields)).notices}
    assert said & {GLUTEN, ALLERGEN, SPICES} == wanted


def test_oats_and_the_toaster_are_named():
    made = make_targets(client(health=["coeliac disease"], tastes={"allergies": ["gluten"]}))
    [words] = [notice.message for notice in made.notices if notice.code == GLUTEN]
    assert "toaster" in words
    assert "certified gluten-free" in words
